import { expect, test } from "vitest";
import { findPassages } from "../../shared/passages/findPassages.ts";
import { Dice } from "../support/randomLines.ts";
import { musicOf } from "./eighths.ts";

/** A walk over the strings that remembers nothing. */
function walk(dice: Dice, events: number, steps: readonly number[]): number[] {
  let place = 35;
  return Array.from({ length: events }, () => {
    const step = dice.oneOf(steps);
    place += place + step < 22 || place + step > 48 ? -step : step;
    return place;
  });
}

test.each([
  ["seconds", [-1, 1], 15],
  ["seconds and thirds", [-2, -1, 1, 2], 10],
  ["all steps up to a fifth", [-4, -3, -2, -1, 1, 2, 3, 4], 5],
])("in forty tunes of 200 notes that remember nothing little comes back: %s", (_, steps, most) => {
  let classes = 0;
  for (let seed = 1; seed <= 40; seed += 1) {
    const { lines, score } = musicOf(walk(new Dice(seed), 200, steps));
    classes += findPassages(lines, score).classes.length;
  }
  expect(classes).toBeLessThanOrEqual(most);
});
