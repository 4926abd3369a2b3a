import { describe, expect, test } from "vitest";
import { type WorkedExample, type WrittenNote, workedExamples } from "../fingering/workedExamples.ts";
import { builtPlacewright, placewright } from "../support/commandLine.ts";
import { tinyScore } from "../support/tinyScore.ts";

/** The example as a score of one staff. */
function scoreOf({ hand, tempo, notes }: WorkedExample): string {
  const words: string[] = [];
  let chord: WrittenNote[] = [];
  let quarters = 0;
  const close = (): void => {
    const [first] = chord;
    if (!first) return;
    const pitches = chord.map(({ pitch }) => pitch).join("+");
    words.push(first.grace ? `~${pitches}` : `${pitches}/${first.duration}`);
    quarters += first.duration;
    if (quarters < 4) return;
    // Bars end where a note does, however long that makes them.
    words.push("|");
    quarters = 0;
  };
  for (const note of notes) {
    if (!note.chord) {
      close();
      chord = [];
    }
    chord.push(note);
  }
  close();
  return tinyScore(`${hand === "right" ? "R" : "L"}: @${tempo} ${words.join(" ")}`).text;
}

interface HandJson {
  readonly hand: string;
  readonly events: readonly { readonly notes: readonly { readonly finger: number | null }[] }[];
  readonly placings: readonly { readonly first: number; readonly last: number; readonly joint: string }[];
}

function expectWorked(example: WorkedExample, out: string): void {
  const [hand, other] = JSON.parse(out).hands as HandJson[];
  expect(other).toBeUndefined();
  expect(hand!.hand).toBe(example.hand);
  const fingers = hand!.events.flatMap(({ notes }) => notes.map(({ finger }) => finger));
  const right = [example.expected, ...example.alternatives].find(
    (written) => written.fingers.join() === fingers.join(),
  );
  expect(right, `found ${fingers.join(" ")}`).toBeDefined();
  // The examples count notes, the format counts events.
  const eventOf = hand!.events.flatMap(({ notes }, event) => notes.map(() => event));
  expect(hand!.placings.map(({ first, last }) => [first, last])).toEqual(
    right!.brackets.map(([first, last]) => [eventOf[first], eventOf[last]]),
  );
  expect(hand!.placings.slice(1).map(({ joint }) => joint)).toEqual(right!.joins);
}

// Common practice, no source; the passages are our own.
describe("finger --format json gives what a harpist would write", () => {
  test.each(workedExamples.map((example) => [example.id, example] as const))("%s", async (_, example) => {
    const { code, out } = await placewright(["finger", "-", "--format", "json"], scoreOf(example));
    expect(code).toBe(0);
    expectWorked(example, out);
  });

  test.each(["S07", "A05", "W01"])("%s, by the built program", async (id) => {
    const example = workedExamples.find((candidate) => candidate.id === id)!;
    const { code, out } = await builtPlacewright(["finger", "-", "--format", "json"], {
      input: scoreOf(example),
    });
    expect(code).toBe(0);
    expectWorked(example, out);
  });
});
