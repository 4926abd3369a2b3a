import { expect, test } from "vitest";
import { alternatives } from "../../shared/fingering/alternatives.ts";
import type { FingeringLine, Solution } from "../../shared/fingering/model.ts";
import { solveTogether } from "../../shared/fingering/solveTogether.ts";
import { defaultWeights } from "../../shared/fingering/weights.ts";
import { visitAll } from "../support/enumerate.ts";
import type { BarePlacing } from "../support/evaluator.ts";
import { lineOf } from "../support/lines.ts";
import { Dice, otherHand, randomLine } from "../support/randomLines.ts";

test("the five best ways to finger a stretch are those that trying everything finds, on 300 random lines", () => {
  for (let seed = 0; seed < 300; seed++) {
    const dice = new Dice(500_000 + seed);
    const line = randomLine(dice, { events: dice.whole(1, 5) });
    const first = dice.whole(0, line.events.length - 1);
    const stretch = { hand: line.hand, first, last: dice.whole(first, line.events.length - 1) };
    const found = alternatives({ [line.hand]: line }, stretch, 5, defaultWeights);
    const cheapest = new Map<string, number>();
    visitAll(line, (placings, milli) => {
      const key = keyOf(placings, stretch);
      cheapest.set(key, Math.min(milli, cheapest.get(key) ?? Number.POSITIVE_INFINITY));
    });
    const wanted = [...cheapest.values()].sort((a, b) => a - b).slice(0, 5);
    expect(
      found.solutions.map(({ totalMilli }) => totalMilli),
      `seed ${seed}`,
    ).toEqual(wanted);
    const keys = found.solutions.map((solution) => keyOf(solution[line.hand]!.placings, stretch));
    expect(new Set(keys).size).toBe(keys.length);
    found.solutions.forEach(({ totalMilli }, i) => {
      expect(cheapest.get(keys[i]!)).toBe(totalMilli);
    });
  }
});

test("with both hands the first is their common optimum, and costs never fall along the list", () => {
  for (let seed = 0; seed < 60; seed++) {
    const dice = new Dice(600_000 + seed);
    const right = randomLine(dice, { events: 8, hand: "right", lowest: 28 });
    const left: FingeringLine = {
      ...otherHand(randomLine(dice, { events: 8, hand: "right" })),
      hand: "left",
    };
    const found = alternatives({ right, left }, { hand: "left", first: 2, last: 5 }, 4, defaultWeights);
    const totals = found.solutions.map(({ totalMilli }) => totalMilli);
    expect(totals[0]).toBe(solveTogether(right, left, defaultWeights).totalMilli);
    expect([...totals].sort((a, b) => a - b)).toEqual(totals);
  }
});

test("five notes up: after the crossing with 3 come those with 2 and with 4, and nothing dearer before them", () => {
  // Common practice, no source: three ways to play five notes up, one crossing each.
  const line = lineOf("C4 D4 E4 F4 G4");
  const found = alternatives({ right: line }, { hand: "right", first: 0, last: 4 }, 3, defaultWeights);
  const written = found.solutions.map(({ right }) => right!.fingers.flat().join(" "));
  expect(written[0]).toBe("2 1 3 2 1");
  expect(written).toContain("3 2 1 2 1");
});

/** What the fingering has in the stretch: fingers, and which neighbouring events one placing holds. */
function keyOf(
  placings: readonly BarePlacing[] | Solution["placings"],
  { first, last }: { first: number; last: number },
): string {
  const key: string[] = [];
  for (let event = first; event <= last; event++) {
    const holding = placings.find((placing) => placing.first <= event && placing.last >= event)!;
    const joined = placings.some((placing) => placing.first <= event && placing.last > event);
    key.push(`${holding.fingers[event - holding.first]!.join("+")}${event < last && joined ? "-" : " "}`);
  }
  return key.join("");
}
