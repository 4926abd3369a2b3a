import { expect, test } from "vitest";
import type { FingeringEvent, FingeringLine } from "../../shared/fingering/model.ts";
import { weightNames, weightsFor } from "../../shared/fingering/profile.ts";
import { solve } from "../../shared/fingering/solve.ts";
import { defaultWeights } from "../../shared/fingering/weights.ts";
import { stringOf } from "../support/lines.ts";
import { Dice } from "../support/randomLines.ts";
import { type WorkedExample, workedExamples } from "./workedExamples.ts";

const draws = 25;

/** Costs are moved; times and widths that they turn on stay. */
const moved = weightNames.filter((name) => !/Micros$|Steps$|String$|Span$|Strings$|Ratio$/.test(name));

const usual = new Map(moved.map((name) => [name, weightNamed(defaultWeights, name)]));

function weightNamed(table: unknown, name: string): number {
  return name.split(".").reduce((part, key) => (part as Record<string, unknown>)[key], table) as number;
}

function lineOf({ hand, tempo, notes }: WorkedExample): FingeringLine {
  const events: FingeringEvent[] = [];
  let at = 0;
  for (const { pitch, duration, chord, grace } of notes) {
    const before = events.at(-1);
    if (chord && before) {
      events[events.length - 1] = { ...before, strings: [...before.strings, stringOf(pitch)] };
      continue;
    }
    events.push({ strings: [stringOf(pitch)], atMicros: Math.round(at) });
    at += grace ? 90_000 : (duration * 60e6) / tempo;
  }
  return { hand, events };
}

// Every cost by itself up to so much more or less: the examples must not hang on fine tuning.
test.each([
  [10, 0.99],
  [20, 0.98],
  [30, 0.97],
])("weights moved by up to %i %% leave the worked examples as a harpist writes them", (percent, least) => {
  let kept = 0;
  const changed = new Map<string, number>();
  for (let draw = 0; draw < draws; draw += 1) {
    const dice = new Dice(2_000_000 + draw);
    const weights: Record<string, number> = {};
    for (const [name, value] of usual) {
      weights[name] = Math.round(value * (1 + ((2 * dice.fraction() - 1) * percent) / 100));
    }
    const table = weightsFor({ weights });
    for (const example of workedExamples) {
      const digits = solve(lineOf(example), table).fingers.flat().join();
      const right = [example.expected, ...example.alternatives].some(
        ({ fingers }) => fingers.join() === digits,
      );
      if (right) kept += 1;
      else changed.set(example.id, (changed.get(example.id) ?? 0) + 1);
    }
  }
  const share = kept / (draws * workedExamples.length);
  const where = [...changed].map(([id, times]) => `${id} ${times}`).join(", ");
  expect(share, `${(100 * share).toFixed(2)} % kept; otherwise: ${where}`).toBeGreaterThanOrEqual(least);
});
