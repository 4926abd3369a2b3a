import type { WrittenHand } from "../fingering/written.ts";
import type { EventNote } from "../score/handLines.ts";
import { defineRule } from "./define.ts";
import { digitEdits, fingersIn } from "./support/fixes.ts";
import { capitalised, nameOf, namesOf, numberWord, startTagOf } from "./support/places.ts";
import { hasSpecialSound, notesOf } from "./support/printedPlacings.ts";
import { allBut, type NotePosition, solveAround } from "./support/solveAround.ts";

const fill = { title: "Fill in what is missing", safety: "safe" } as const;

/** A longer stretch without fingers was left so on purpose. */
const mostEvents = 4;
/** How many events around are looked at, how many there must be at least, and the share that must have fingers. */
const surrounding = { events: 10, least: 5, share: 0.8 };

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
      const states = statesOf(hand);
      for (const run of missingRuns(states)) {
        if (
          run.last - run.first >= mostEvents ||
          !isAmongFingered(states, run) ||
          isRepeat(hand, states, run)
        ) {
          continue;
        }
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
          fixes: [
            {
              ...fill,
              edits: () => {
                const solution = solveAround(input, hand, run, allBut([]));
                return digitEdits(input, hand, fingersIn(solution, missing));
              },
            },
          ],
        });
      }
    }
  },
});

function wordsFor(entries: readonly EventNote[]): string {
  if (entries.length === 1) return `${nameOf(entries[0]!)} has`;
  if (entries.length <= 4) return `${namesOf(entries)} have`;
  const [first, last] = [entries[0]!, entries[entries.length - 1]!];
  return `${capitalised(numberWord(entries.length))} notes from ${nameOf(first)} to ${nameOf(last)} have`;
}

/** `silent`: nothing can be told from it, because its finger is implied or seldom printed. */
type State = "fingered" | "missing" | "silent";

function statesOf(hand: WrittenHand): State[] {
  const { events } = hand.line;
  const gracesFingered = events.some((event) => event.grace && event.notes.some(hasFinger));
  const states: State[] = [];
  events.forEach((event, i) => {
    if (isFingered(event.notes)) states.push("fingered");
    else if (event.grace && !gracesFingered) states.push("silent");
    else if (hasSpecialSound(notesOf(hand, i, i))) states.push("silent");
    else if (isSameAgain(hand, i, i - 1) && states[i - 1] !== "missing") states.push("silent");
    else states.push("missing");
  });
  return states;
}

function hasFinger(entry: EventNote): boolean {
  return [entry.note, ...entry.doubles].some((note) => note.fingerings.some(({ text }) => text !== ""));
}

/** Every note has a finger, or a chord has its outer ones, or one note of the chord carries all of them. */
function isFingered(notes: readonly EventNote[]): boolean {
  if (notes.every(hasFinger)) return true;
  if (notes.length > 2 && hasFinger(notes[0]!) && hasFinger(notes[notes.length - 1]!)) return true;
  return notes.length > 1 && notes.some(({ note }) => note.fingerings.length >= notes.length);
}

function isSameAgain(hand: WrittenHand, event: number, earlier: number): boolean {
  const before = hand.line.events[earlier]?.notes;
  const here = hand.line.events[event]!.notes;
  return before?.length === here.length && here.every(({ string }, i) => string === before[i]!.string);
}

interface Run {
  readonly first: number;
  readonly last: number;
}

function missingRuns(states: readonly State[]): Run[] {
  const runs: Run[] = [];
  for (let i = 0; i < states.length; i += 1) {
    if (states[i] !== "missing") continue;
    const first = i;
    while (states[i + 1] === "missing") i += 1;
    runs.push({ first, last: i });
  }
  return runs;
}

/** The nearest events before and after, half of them from each side where there are as many. */
function isAmongFingered(states: readonly State[], { first, last }: Run): boolean {
  const near = (from: number, step: number): State[] => {
    const found: State[] = [];
    for (let i = from; i >= 0 && i < states.length && found.length < surrounding.events; i += step) {
      if (states[i] !== "silent") found.push(states[i]!);
    }
    return found;
  };
  const before = near(first - 1, -1);
  const after = near(last + 1, 1);
  const half = surrounding.events / 2;
  const around = [
    ...before.slice(0, Math.max(half, surrounding.events - after.length)),
    ...after.slice(0, Math.max(half, surrounding.events - before.length)),
  ];
  const fingered = around.filter((state) => state === "fingered").length;
  return around.length >= surrounding.least && fingered >= surrounding.share * around.length;
}

/** The notes repeat, one by one, those just before them, whose fingers are taken to hold on. */
function isRepeat(hand: WrittenHand, states: readonly State[], { first, last }: Run): boolean {
  const count = last - first + 1;
  if (count < 2) return false;
  for (let event = first; event <= last; event += 1) {
    if (states[event - count] !== "fingered" || !isSameAgain(hand, event, event - count)) return false;
  }
  return true;
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
