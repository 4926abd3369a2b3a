import type { Finger, Placing, Solution } from "../../fingering/model.ts";
import { writeFingering } from "../../fingering/write.ts";
import { directionOf, mainFingering, type WrittenHand } from "../../fingering/written.ts";
import type { Edit } from "../../text/edits.ts";
import type { Fix, FixKind, RuleInput } from "../define.ts";
import { printedBrackets } from "./printedBrackets.ts";
import { printedPlacings } from "./printedPlacings.ts";
import {
  allBut,
  costs,
  type Decisions,
  type EventRange,
  type FingeredNote,
  type NotePosition,
  solveAround,
} from "./solveAround.ts";

/**
 * The fix that fingers these notes anew and keeps what is printed around them. Where that leaves no way, the notes of
 * the placings that they belong to are fingered anew as well.
 *
 * @param fixed fingers that the notes have to take.
 * @returns no fix where two brackets share more than a turning note, because no fingers fit both.
 */
export function refingerFixes(
  input: RuleInput,
  hand: WrittenHand,
  kind: FixKind,
  notes: readonly NotePosition[],
  fixed: Decisions["fixed"] = [],
): Fix[] {
  if (haveClashingBrackets(input, hand, rangeOf(notes))) return [];
  const fix: Fix = {
    ...kind,
    edits: () => {
      let free = notes;
      const solved = (placed: readonly EventRange[]): Solution =>
        solveAround(input, hand, rangeOf(free), { ...allBut(free), fixed, placed });
      let solution = solved([]);
      for (let ring = 0; ring < 2 && costs(solution, rangeOf(free), ["lock"]); ring += 1) {
        free = withTheirPlacings(input, hand, free);
        solution = solved([]);
      }
      const range = rangeOf(free);
      if (range.first === range.last && costs(solution, range, ["tooWide"])) {
        // With too little time for anything the search may reach for a neighbour: then each has its own placing.
        solution = solved([range]);
      }
      return digitEdits(input, hand, fingersIn(solution, free));
    },
  };
  return [fix];
}

function haveClashingBrackets(input: RuleInput, hand: WrittenHand, range: EventRange): boolean {
  const here = printedBrackets(input, hand).filter(
    ({ first, last }) => first <= range.last && last >= range.first,
  );
  return here.some((a, i) => here.some((b, j) => j > i && clash(hand, a, b)));
}

/** They share more than one event, or one at which nothing turns. */
function clash(hand: WrittenHand, a: EventRange, b: EventRange): boolean {
  if (b.first < a.last && a.first < b.last) return true;
  const meet = a.first < a.last && b.first < b.last && (a.last === b.first || b.last === a.first);
  return meet && directionOf(hand.line, a.first, a.last) === directionOf(hand.line, b.first, b.last);
}

/** The notes and all fingered notes of the printed placings that hold one of them. */
function withTheirPlacings(
  input: RuleInput,
  hand: WrittenHand,
  notes: readonly NotePosition[],
): readonly NotePosition[] {
  const events = new Set(notes.map(({ event }) => event));
  const more = printedPlacings(input, hand)
    .filter((placing) => placing.notes.some(({ event }) => events.has(event)))
    .flatMap((placing) => placing.notes)
    .filter(({ finger }) => finger !== undefined);
  const all = new Map([...notes, ...more].map((note) => [`${note.event} ${note.stringAt}`, note]));
  return [...all.values()];
}

/** The fingers of these notes in a solution; none for a note that the hand has no finger for. */
export function fingersIn(solution: Solution, notes: readonly NotePosition[]): FingeredNote[] {
  return notes.flatMap(({ event, stringAt }) => {
    const finger = solution.fingers[event]?.[stringAt];
    return finger === undefined ? [] : [{ event, stringAt, finger }];
  });
}

/** The edits that print these fingers and leave all others and the brackets alone. */
export function digitEdits(input: RuleInput, hand: WrittenHand, notes: readonly FingeredNote[]): Edit[] {
  const byEvent = new Map<number, (Finger | undefined)[]>();
  for (const { event, stringAt, finger } of notes) {
    const { notes: chord } = hand.line.events[event]!;
    // Fingers that all stand on one note of their chord are shared out together.
    const onOneNote = chord.some((entry) => mainFingering(entry)?.writtenOn !== undefined);
    const row = byEvent.get(event) ?? chord.map((_, i) => (onOneNote ? hand.fingers[event]![i] : undefined));
    row[stringAt] = finger;
    byEvent.set(event, row);
  }
  const placings = hand.placings.map(asPrinted);
  return [...byEvent].flatMap(([event, row]) => {
    const fingers: Solution["fingers"][number][] = [];
    fingers[event] = row;
    const solution: Solution = { placings, fingers, totalMilli: 0 };
    return writeFingering(input, [{ written: hand, solution, range: { first: event, last: event } }], {
      replace: true,
    });
  });
}

/** The edits that draw one more bracket over a range of events. */
export function newBracketEdits(input: RuleInput, hand: WrittenHand, range: EventRange): Edit[] {
  const fingers = hand.line.events.map((event) => event.notes.map(() => undefined));
  const placings = [...hand.placings.map(asPrinted), { ...asPrinted(range), joint: "separate" as const }];
  return writeFingering(input, [{ written: hand, solution: { placings, fingers, totalMilli: 0 }, range }], {
    replace: true,
  });
}

/** A printed placing as one of a solution, so that its bracket and one that shows how it was crossed to stay. */
export function asPrinted({ first, last }: EventRange): Placing {
  const nothing = { fingers: [], placingTerms: [], jointTerms: [] };
  return { first, last, direction: "together", joint: "cross", ...nothing };
}

/**
 * The edits that put a solution's brackets over a range of events in place of the printed ones that lie in it. Digits
 * change where the brackets need it; notes without a digit get none.
 */
export function bracketEdits(
  input: RuleInput,
  hand: WrittenHand,
  solution: Solution,
  range: EventRange,
): Edit[] {
  const fingers = solution.fingers.map((row, event) =>
    row.map((finger, stringAt) => (hand.fingers[event]![stringAt] === undefined ? undefined : finger)),
  );
  const placings = printedBrackets(input, hand).map((placing) => ({ ...placing, fromPivot: false }));
  const written = { ...hand, placings };
  return writeFingering(input, [{ written, solution: { ...solution, fingers }, range }], { replace: true });
}

function rangeOf(notes: readonly NotePosition[]): EventRange {
  const events = notes.map(({ event }) => event);
  return { first: Math.min(...events), last: Math.max(...events) };
}
