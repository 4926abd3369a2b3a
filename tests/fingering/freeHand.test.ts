import { expect, test } from "vitest";
import type { FingeringLine } from "../../shared/fingering/model.ts";
import { solve } from "../../shared/fingering/solve.ts";
import { solveTogether } from "../../shared/fingering/solveTogether.ts";
import { defaultWeights } from "../../shared/fingering/weights.ts";
import { exhaust } from "../support/enumerate.ts";
import { Evaluator } from "../support/evaluator.ts";
import { notesOn, scale, withPlacings } from "../support/lines.ts";
import { Dice, otherHand, randomLine } from "../support/randomLines.ts";
import { cheapestPair } from "../support/twoHands.ts";

/** The same line with the hand free of the strings before some of its events. */
function withFreeHand(line: FingeringLine, dice: Dice): FingeringLine {
  const events = line.events.map((event) => ({ ...event, handFreeBefore: dice.chance(0.3) }));
  return { ...line, events };
}

test("with the hand free at some moments, trying everything agrees on 600 random lines", () => {
  for (let seed = 0; seed < 600; seed += 1) {
    const dice = new Dice(40_000 + seed);
    const line = withFreeHand(randomLine(dice, { events: dice.whole(2, 6) }), dice);
    const found = solve(line, defaultWeights);
    expect(found.totalMilli, `seed ${seed}`).toBe(exhaust(line).totalMilli);
    expect(new Evaluator(line).whole(found.placings), `seed ${seed}`).toEqual({
      totalMilli: found.totalMilli,
      faults: [],
    });
  }
});

test("both hands together: trying every pair agrees on 150 random ones", () => {
  for (let seed = 0; seed < 150; seed += 1) {
    const dice = new Dice(80_000 + seed);
    const one = (): FingeringLine =>
      withFreeHand(randomLine(dice, { events: dice.whole(3, 4), hand: "right", lowest: 14 }), dice);
    const [right, left] = [one(), otherHand(one())];
    const leftHand: FingeringLine = { ...left, hand: "left" };
    expect(solveTogether(right, leftHand, defaultWeights).totalMilli, `seed ${seed}`).toBe(
      cheapestPair(right, leftHand),
    );
  }
});

test("a placing that is decided reaches over such a moment all the same", () => {
  const free = notesOn(scale(4));
  const line = { ...free, events: free.events.map((event, i) => ({ ...event, handFreeBefore: i === 2 })) };
  const ends = (of: FingeringLine): number[][] =>
    solve(of, defaultWeights).placings.map(({ first, last }) => [first, last]);
  expect(ends(line)).toEqual([
    [0, 1],
    [2, 3],
  ]);
  expect(ends(withPlacings(line, [0, 3]))).toEqual([[0, 3]]);
});
