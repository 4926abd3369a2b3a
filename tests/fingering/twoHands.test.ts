import { describe, expect, test } from "vitest";
import { LineTable } from "../../shared/fingering/lineTable.ts";
import type { Finger, FingeringLine, Solution } from "../../shared/fingering/model.ts";
import { SearchTables } from "../../shared/fingering/searchTables.ts";
import { solve } from "../../shared/fingering/solve.ts";
import { solveTogether } from "../../shared/fingering/solveTogether.ts";
import { defaultWeights } from "../../shared/fingering/weights.ts";
import { Evaluator } from "../support/evaluator.ts";
import { lineOf } from "../support/lines.ts";
import { Dice, otherHand, randomLine, shifted } from "../support/randomLines.ts";
import { cheapestPair, disturbance } from "../support/twoHands.ts";

describe("two hands are searched together", () => {
  test.each([
    [3, 650],
    [4, 250],
    [5, 80],
    [6, 20],
  ])("up to %i events a hand: trying every pair agrees on %i random ones", (most, pairs) => {
    let disturbed = 0;
    for (let seed = 0; seed < pairs; seed++) {
      const { right, left } = randomPair(new Dice(most * 50_000 + seed), most);
      const found = solveTogether(right, left, defaultWeights);
      expect(found.totalMilli, `seed ${seed}`).toBe(cheapestPair(right, left));
      expect(addedUp(right, found.right, left, found.left), `seed ${seed}`).toBe(found.totalMilli);
      const alone = solve(right, defaultWeights).totalMilli + solve(left, defaultWeights).totalMilli;
      if (found.totalMilli > alone) disturbed += 1;
    }
    // The pairs are made to meet, so the other hand matters in a good part of them.
    expect(disturbed / pairs).toBeGreaterThan(0.1);
  });

  test("on long lines the total is what adding up from scratch gives, and no dearer than each hand by itself", () => {
    for (let seed = 0; seed < 40; seed++) {
      const { right, left } = randomPair(new Dice(9_000_000 + seed), 120);
      const found = solveTogether(right, left, defaultWeights);
      const alone = [solve(right, defaultWeights), solve(left, defaultWeights)] as const;
      expect(addedUp(right, found.right, left, found.left)).toBe(found.totalMilli);
      expect(found.totalMilli).toBeLessThanOrEqual(addedUp(right, alone[0], left, alone[1]));
      expect(found.totalMilli).toBeGreaterThanOrEqual(alone[0].totalMilli + alone[1].totalMilli);
    }
  });

  test("on other strings, both hands shifted alike, nothing changes", () => {
    for (let seed = 0; seed < 200; seed++) {
      const { right, left } = randomPair(new Dice(7_000_000 + seed), 8, 35);
      const here = solveTogether(right, left, defaultWeights);
      const there = solveTogether(shifted(right, 3), shifted(left, 3), defaultWeights);
      expect(there).toEqual(here);
    }
  });

  test("one more decision never makes it cheaper", () => {
    for (let seed = 0; seed < 200; seed++) {
      const dice = new Dice(6_000_000 + seed);
      const { right, left } = randomPair(dice, 8);
      const free = solveTogether(right, left, defaultWeights);
      const event = dice.whole(0, right.events.length - 1);
      const fingers = right.events.map((one, i) =>
        i === event
          ? one.strings.map(() => undefined).with(0, dice.oneOf([1, 2, 3, 4] as const) as never)
          : undefined,
      );
      const locked = solveTogether({ ...right, locks: { fingers, placings: [] } }, left, defaultWeights);
      expect(locked.totalMilli).toBeGreaterThanOrEqual(free.totalMilli);
    }
  });

  test("around decisions, kept or not to be kept, it is what a search that leaves out no placing finds", () => {
    let broken = 0;
    let reckoned = 0;
    for (let seed = 0; seed < 400; seed++) {
      const dice = new Dice(5_000_000 + seed);
      const pair = randomPair(dice, 14);
      const right = decided(dice, pair.right);
      const left = decided(dice, pair.left);
      const found = solveTogether(right, left, defaultWeights);
      expect(found, `seed ${seed}`).toEqual(
        solveTogether(right, left, defaultWeights, new SearchTables(defaultWeights)),
      );
      for (const line of [right, left]) {
        const alone = solve(line, defaultWeights, new LineTable(line, defaultWeights));
        expect(solve(line, defaultWeights), `seed ${seed}`).toEqual(alone);
        const { leastBroken } = new LineTable(line, defaultWeights, "kept");
        const needed = Math.floor(alone.totalMilli / defaultWeights.lockBroken);
        expect(leastBroken, `seed ${seed}`).toBeLessThanOrEqual(needed);
        if (leastBroken === needed) reckoned += 1;
      }
      if (found.totalMilli >= defaultWeights.lockBroken) broken += 1;
    }
    expect(broken).toBeGreaterThan(40);
    expect(broken).toBeLessThan(360);
    // Where it is known how many decisions have to be broken, a second search is saved.
    expect(reckoned).toBeGreaterThan(760);
  });
});

/** The line with most of a good fingering decided, and now and then a finger that does not fit. */
function decided(dice: Dice, line: FingeringLine): FingeringLine {
  const { placings, fingers } = solve(line, defaultWeights);
  const slip = dice.chance(0.3) ? 0.1 : 0;
  return {
    ...line,
    locks: {
      fingers: fingers.map((row) =>
        row.map((finger) => {
          if (dice.chance(slip)) return dice.whole(1, 4) as Finger;
          return dice.chance(0.8) ? finger : undefined;
        }),
      ),
      placings: placings.filter(() => dice.chance(0.3)).map(({ first, last }) => ({ first, last })),
    },
  };
}

/** Common practice, no source: the eyes serve one place at a time. */
describe("the eyes", () => {
  const right = lineOf("C5 E5 D5 C5", { seconds: [0.4, 1.2, 0.4, 0.4] });
  const still: FingeringLine = { hand: "left", events: [{ strings: [14], atMicros: 0 }] };
  const leaping: FingeringLine = {
    hand: "left",
    events: [
      { strings: [21], atMicros: 0 },
      { strings: [7], atMicros: 1_600_000 },
    ],
  };
  const jointsOf = (left: FingeringLine): string[] =>
    solveTogether(right, left, defaultWeights).right.placings.map((placing) => placing.joint);

  test("with the other hand still, a hand comes off a note of 1.2 seconds", () => {
    expect(jointsOf(still)).toEqual(["start", "separate"]);
  });

  test("when the other hand leaps at that instant, it stays connected", () => {
    expect(jointsOf(leaping)).toEqual(["start", "overlap"]);
  });
});

test("hands do not stand on one string: the waiting finger is not put there", () => {
  const right = lineOf("C4 E4 G4", { seconds: 0.5 });
  const left: FingeringLine = { hand: "left", events: [{ strings: [32], atMicros: 500_000 }] };
  const found = solveTogether(right, left, defaultWeights);
  const placing = found.right.placings.find(({ first, last }) => first <= 1 && last === 2);
  // G is in the left hand's way while C and E are played, so the right hand does not wait on it.
  expect(placing).toBeUndefined();
  expect(found.totalMilli).toBeLessThan(defaultWeights.impossible);
});

function randomPair(dice: Dice, most: number, lowest = 14): { right: FingeringLine; left: FingeringLine } {
  const events = (): number => dice.whole(Math.min(3, most), most);
  const right = randomLine(dice, { events: events(), hand: "right", lowest });
  const left = otherHand(randomLine(dice, { events: events(), hand: "right", lowest }));
  // Half of the pairs share a register, half lie apart as in most music.
  const apart = dice.chance(0.5) ? shifted(left, -14) : left;
  return { right, left: { ...apart, hand: "left" } };
}

function addedUp(right: FingeringLine, a: Solution, left: FingeringLine, b: Solution): number {
  const own = [new Evaluator(right).whole(a.placings), new Evaluator(left).whole(b.placings)];
  expect(own.flatMap((verdict) => verdict.faults)).toEqual([]);
  return own[0]!.totalMilli + own[1]!.totalMilli + disturbance(right, a.placings, left, b.placings);
}
