import { describe, expect, test } from "vitest";
import type { FingeringEvent, FingeringLine } from "../../shared/fingering/model.ts";
import { solve } from "../../shared/fingering/solve.ts";
import { defaultWeights } from "../../shared/fingering/weights.ts";
import { type BarePlacing, evaluate } from "../support/evaluator.ts";
import { stringOf } from "../support/lines.ts";
import { type WorkedExample, type WorkedFingering, workedExamples } from "./workedExamples.ts";

/** A grace note takes its time from before the beat. */
const graceMicros = 90_000;

interface Passage {
  readonly line: FingeringLine;
  /** Which event each note belongs to. */
  readonly eventOf: readonly number[];
}

function passageOf({ hand, tempo, notes }: WorkedExample): Passage {
  const events: FingeringEvent[] = [];
  const eventOf: number[] = [];
  let at = 0;
  for (const { pitch, duration, chord, grace } of notes) {
    const before = events.at(-1);
    if (chord && before) {
      events[events.length - 1] = { ...before, strings: [...before.strings, stringOf(pitch)] };
    } else {
      events.push({ strings: [stringOf(pitch)], atMicros: Math.round(at) });
      at += grace ? graceMicros : (duration * 60e6) / tempo;
    }
    eventOf.push(events.length - 1);
  }
  return { line: { hand, events }, eventOf };
}

/** A written fingering as placings of events. */
function placingsOf({ line, eventOf }: Passage, written: WorkedFingering): BarePlacing[] {
  return written.brackets.map(([from, to], i) => {
    const [first, last] = [eventOf[from]!, eventOf[to]!];
    const fingers = line.events
      .slice(first, last + 1)
      .map((_, k) => written.fingers.filter((_, note) => eventOf[note] === first + k));
    const joint = i === 0 ? "start" : written.joins[i - 1]!;
    return { first, last, joint, fingers: fingers as BarePlacing["fingers"] };
  });
}

const bare = (placings: readonly BarePlacing[]): BarePlacing[] =>
  placings.map(({ first, last, joint, fingers }) => ({ first, last, joint, fingers }));

describe.each(workedExamples.map((example) => [example.id, example] as const))("%s", (_, example) => {
  const passage = passageOf(example);
  const found = solve(passage.line, defaultWeights);
  const digits = found.fingers.flat();

  test(`is fingered as written. ${example.why}`, () => {
    const right = [example.expected, ...example.alternatives].find(
      ({ fingers }) => fingers.join() === digits.join(),
    );
    expect(right, `found ${digits.join(" ")}`).toBeDefined();
    expect(bare(found.placings)).toEqual(placingsOf(passage, right!));
  });

  test("what is written is a fingering of the model, and none of it is cheaper than what is found", () => {
    // A slide gives one finger two notes: a kind of placing of its own.
    const written = [example.expected, ...example.alternatives].filter((one) => !slides(one));
    for (const one of written) {
      const verdict = evaluate(passage.line, placingsOf(passage, one));
      expect(verdict.faults).toEqual([]);
      expect(verdict.totalMilli).toBeGreaterThanOrEqual(found.totalMilli);
    }
  });

  test("what comes back has the same fingers", () => {
    const [model, ...others] = (example.repeatGroups ?? []).map(([from, to]) => digits.slice(from, to + 1));
    for (const other of others) expect(other).toEqual(model);
  });
});

test("with the usual table the fingering found is the first written one, in every example", () => {
  const others = workedExamples.filter((example) => {
    const digits = solve(passageOf(example).line, defaultWeights).fingers.flat();
    return digits.join() !== example.expected.fingers.join();
  });
  expect(others.map(({ id }) => id)).toEqual([]);
});

function slides({ fingers, brackets }: WorkedFingering): boolean {
  return brackets.some(([from, to]) => new Set(fingers.slice(from, to + 1)).size < to - from + 1);
}
