import type { FixKind, Report, RuleInput } from "../define.ts";
import { badCrossings, type CrossingFault, type RegroupedRun, regroupedEdits } from "./crossings.ts";
import { capitalised, inWords, nameOf, numberWord, placeOfNote } from "./places.ts";

/** Reports the runs of both hands that cross in one bad way, the same figure in several places once. */
export function reportCrossings(
  input: RuleInput,
  report: (report: Report) => void,
  {
    fault,
    fix,
    words,
  }: {
    readonly fault: CrossingFault;
    readonly fix: FixKind;
    /** The sentence about its first place, without the full stop. */
    words(place: RegroupedRun): string;
  },
): void {
  for (const bad of badCrossings(input)) {
    if (bad.fault !== fault) continue;
    const { hand, run, crossing } = bad.first;
    const more = bad.others.length;
    const again =
      more === 0
        ? ""
        : ` ${capitalised(numberWord(more))} more ${more > 1 ? "places are" : "place is"} alike.`;
    report({
      span: placeOf(bad.first),
      message: `${words(bad.first)}.${again}`,
      at: { hand, event: crossing.event + 1 },
      over: { first: run.first, last: run.last },
      related: bad.others.map((place) => ({ span: placeOf(place), message: "The same figure." })),
      fixes: [{ ...fix, edits: () => regroupedEdits(input, bad) }],
    });
  }
}

/** The note that is crossed to. */
function placeOf({ hand, crossing }: RegroupedRun): Report["span"] {
  return placeOfNote(hand.line.events[crossing.event + 1]!.notes[0]!);
}

/** `D4 (1) and F4 (3)`: the notes on both sides of a printed crossing. */
export function sidesWithFingers({ hand, crossing: { event } }: RegroupedRun): string {
  const side = (at: number): string => `${nameOf(hand.line.events[at]!.notes[0]!)} (${hand.fingers[at]![0]})`;
  return `${side(event)} and ${side(event + 1)}`;
}

/** `between E4 and F4`, for each joint of the better way. */
export function betweenWords({ hand, betterJoints }: RegroupedRun): string {
  const name = (at: number): string => nameOf(hand.line.events[at]!.notes[0]!);
  return inWords(betterJoints.map(({ event }) => `between ${name(event)} and ${name(event + 1)}`));
}
