import type { WrittenHand } from "../fingering/written.ts";
import type { EventNote } from "../score/handLines.ts";
import { defineRule, type Fix, type RuleInput } from "./define.ts";
import { digitEdits, fingersIn } from "./support/fixes.ts";
import { gapsOf, hasFinger } from "./support/gaps.ts";
import { capitalised, nameOf, namesOf, numberWord, startTagOf } from "./support/places.ts";
import { allPrinted, costs, type EventRange, type NotePosition, solveAround } from "./support/solveAround.ts";

const fill = { title: "Fill in what is missing", safety: "safe" } as const;

export const missingFinger = defineRule({
  id: "missing-finger",
  severity: "warning",
  summary: "A note has no finger in the midst of music in which every note has one.",
  why: "Where everything is fingered a gap reads as a slip, and the player has to work out what the editor meant.",
  bad: "C4:4 D4:3 E4 F4:1 E4:2 D4:3 C4:4",
  good: "C4:4 D4:3 E4:2 F4:1 E4:2 D4:3 C4:4",
  fixes: [fill],
  check(input, report) {
    for (const hand of input.hands) {
      for (const run of gapsOf(hand, input.printedAmount)) {
        const missing = missingNotes(hand, run.first, run.last);
        const entries = missing.map(({ event, stringAt }) => hand.line.events[event]!.notes[stringAt]!);
        const [first, ...others] = entries;
        report({
          span: startTagOf(first!.note),
          message: `${wordsFor(entries)} no finger; the notes around have theirs.`,
          at: { hand, event: run.first },
          related: others.map(({ note }) => ({
            span: startTagOf(note),
            message: "This one has none either.",
          })),
          fixes: fillingFixes(input, hand, run, missing),
        });
      }
    }
  },
});

/** No fix where the fingers around leave none that reach. */
function fillingFixes(
  input: RuleInput,
  hand: WrittenHand,
  run: EventRange,
  missing: readonly NotePosition[],
): Fix[] {
  const solution = solveAround(input, hand, run, allPrinted);
  if (costs(solution, run, ["lock", "tooWide", "tooMany"])) return [];
  return [{ ...fill, edits: () => digitEdits(input, hand, fingersIn(solution, missing)) }];
}

function wordsFor(entries: readonly EventNote[]): string {
  if (entries.length === 1) return `${nameOf(entries[0]!)} has`;
  if (entries.length <= 4) return `${namesOf(entries)} have`;
  const [first, last] = [entries[0]!, entries[entries.length - 1]!];
  return `${capitalised(numberWord(entries.length))} notes from ${nameOf(first)} to ${nameOf(last)} have`;
}

function missingNotes(hand: WrittenHand, first: number, last: number): NotePosition[] {
  const missing: NotePosition[] = [];
  for (let event = first; event <= last; event += 1) {
    hand.line.events[event]!.notes.forEach((entry, stringAt) => {
      if (!hasFinger(entry)) missing.push({ event, stringAt });
    });
  }
  return missing;
}
