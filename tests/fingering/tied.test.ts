import { expect, test } from "vitest";
import type { FingeringLine } from "../../shared/fingering/model.ts";
import { solve } from "../../shared/fingering/solve.ts";
import { solveTied } from "../../shared/fingering/tied.ts";
import { defaultWeights } from "../../shared/fingering/weights.ts";
import { visitAll } from "../support/enumerate.ts";
import type { BarePlacing } from "../support/evaluator.ts";
import { lineOf, withFingers } from "../support/lines.ts";
import { Dice, randomLine, shifted } from "../support/randomLines.ts";

test("one fingering for two places costs what the best of all such fingerings costs, on 250 random lines", () => {
  let costly = 0;
  for (let seed = 0; seed < 250; seed++) {
    const { line, occurrences } = lineWithReturn(new Dice(400_000 + seed));
    const found = solveTied({ [line.hand]: line }, [{ occurrences }], defaultWeights);
    let least = Number.POSITIVE_INFINITY;
    visitAll(line, (placings, milli) => {
      if (milli < least && alike(placings, occurrences)) least = milli;
    });
    expect(found.totalMilli, `seed ${seed}`).toBe(least);
    expect(alike(found[line.hand]!.placings, occurrences), `seed ${seed}`).toBe(true);
    expect(found.proven).toEqual([true]);
    expect(found.freeMilli).toBe(solve(line, defaultWeights).totalMilli);
    if (found.totalMilli > found.freeMilli) costly += 1;
  }
  // Consistency costs something often enough for the comparison to mean anything.
  expect(costly).toBeGreaterThan(20);
});

test("never dearer than giving every place the fingering of any one of them", () => {
  for (let seed = 0; seed < 40; seed++) {
    const dice = new Dice(450_000 + seed);
    const figure = randomLine(dice, { events: 6, hand: "right" });
    const line = chained(dice, figure, 3);
    const occurrences = [0, 1, 2].map((k) => ({ hand: line.hand, first: 8 * k + 2, last: 8 * k + 7 }));
    const found = solveTied({ right: line }, [{ occurrences }], defaultWeights);
    const free = solve(line, defaultWeights);
    for (const model of occurrences) {
      const fingers = line.events.map((_, i) => {
        const k = occurrences.findIndex(({ first, last }) => i >= first && i <= last);
        return k < 0 ? undefined : free.fingers[model.first + i - occurrences[k]!.first];
      });
      const copied = solve({ ...line, locks: { fingers, placings: [] } }, defaultWeights);
      // Copying fingers alone leaves the brackets free, so it may be a little cheaper than a whole tie.
      if (alike(copied.placings, occurrences)) {
        expect(found.totalMilli, `seed ${seed}`).toBeLessThanOrEqual(copied.totalMilli);
      }
    }
    expect(found.totalMilli).toBeGreaterThanOrEqual(found.freeMilli);
  }
});

test("what is printed in one place goes to the others", () => {
  const line = withFingers(
    lineOf("C4 D4 E4 F4 G4 C4 C4 D4 E4 F4 G4", { seconds: [0.3, 0.3, 0.3, 0.3, 2, 2, 0.3] }),
    "3 2 1 2 1 . . . . . .",
  );
  const occurrences = [0, 6].map((first) => ({ hand: line.hand, first, last: first + 4 }));
  const found = solveTied({ right: line }, [{ occurrences }], defaultWeights);
  expect(found.right!.fingers.flat().join(" ")).toMatch(/^3 2 1 2 1 . 3 2 1 2 1$/);
});

test("places that are printed otherwise stay as they are printed", () => {
  const line = withFingers(
    lineOf("C4 D4 E4 F4 G4 C4 C4 D4 E4 F4 G4", { seconds: [0.3, 0.3, 0.3, 0.3, 2, 2, 0.3] }),
    "3 2 1 2 1 . 2 1 3 2 1",
  );
  const occurrences = [0, 6].map((first) => ({ hand: line.hand, first, last: first + 4 }));
  const found = solveTied({ right: line }, [{ occurrences }], defaultWeights);
  expect(found.right!.fingers.flat().join(" ")).toMatch(/^3 2 1 2 1 . 2 1 3 2 1$/);
  expect(found.totalMilli).toBeLessThan(defaultWeights.lockBroken);
});

/** A short line in which two or three events come back, on the same strings or others. */
function lineWithReturn(dice: Dice): {
  line: FingeringLine;
  occurrences: { hand: "right" | "left"; first: number; last: number }[];
} {
  const length = dice.whole(2, 3);
  const figure = randomLine(dice, { events: length, lowest: 21, chords: 0.15, rolls: 0 });
  const back = dice.chance(0.5) ? shifted(figure, dice.whole(-4, 4)) : figure;
  const between = dice.whole(0, 1);
  const before = dice.whole(0, 1);
  const filler = randomLine(dice, { events: before + between, hand: figure.hand, lowest: 21 });
  const strings = [
    ...filler.events.slice(0, before),
    ...figure.events,
    ...filler.events.slice(before),
    ...back.events,
  ].map((event) => event.strings);
  let at = 0;
  const events = strings.map((own) => {
    const atMicros = at;
    at += dice.oneOf([200_000, 300_000, 450_000, 1_300_000]);
    return { strings: own, atMicros };
  });
  const second = before + length + between;
  return {
    line: { hand: figure.hand, events },
    occurrences: [before, second].map((first) => ({ hand: figure.hand, first, last: first + length - 1 })),
  };
}

/** Two free notes and the figure, so many times. */
function chained(dice: Dice, figure: FingeringLine, times: number): FingeringLine {
  const strings: (readonly number[])[] = [];
  for (let k = 0; k < times; k++) {
    const filler = randomLine(dice, { events: 2, hand: figure.hand });
    strings.push(
      ...filler.events.map((event) => event.strings),
      ...figure.events.map((event) => event.strings),
    );
  }
  return { hand: figure.hand, events: strings.map((own, i) => ({ strings: own, atMicros: i * 300_000 })) };
}

function alike(
  placings: readonly BarePlacing[],
  occurrences: readonly { readonly first: number; readonly last: number }[],
): boolean {
  const keys = occurrences.map(({ first, last }) => {
    const key: string[] = [];
    for (let event = first; event <= last; event++) {
      const holding = placings.find((placing) => placing.first <= event && placing.last >= event)!;
      key.push(holding.fingers[event - holding.first]!.join("+"));
      if (event < last) key.push(placings.some((one) => one.first <= event && one.last > event) ? "-" : " ");
    }
    return key.join("");
  });
  return keys.every((key) => key === keys[0]);
}
