import { isFingerText } from "../musicxml/fingeringEdits.ts";
import type { HandBrackets, PrintedBracket } from "../score/brackets.ts";
import { listed } from "../score/chordFingerings.ts";
import type { EventNote, HandLine, LineEvent } from "../score/handLines.ts";
import type { WrittenFingering } from "../score/model.ts";
import { Ranges } from "../text/ranges.ts";
import type { Finger, FingeringLine, HandName, Locks } from "./model.ts";
import { slidingFinger } from "./slides.ts";

/** A placing that the score has in print. */
export interface WrittenPlacing {
  /** Inclusive range of events, the pivot of a crossing left out. */
  readonly first: number;
  readonly last: number;
  readonly bracket: PrintedBracket;
  /** The bracket was drawn from the last note of the placing before, to show a crossing. */
  readonly fromPivot: boolean;
}

/** One hand of a score as it is printed. */
export interface WrittenHand {
  readonly hand: HandName;
  readonly line: HandLine;
  /** fingers[i][j]: the finger printed at events[i].notes[j]. */
  readonly fingers: readonly (readonly (Finger | undefined)[])[];
  readonly placings: readonly WrittenPlacing[];
  readonly brackets: HandBrackets;
}

/** What was assumed about the fingers of a score, in sentences. */
export function aboutFingers(hands: readonly WrittenHand[]): string[] {
  const remarks = new Map<string, Set<string>>();
  for (const { line } of hands) {
    for (const note of line.places.keys()) {
      for (const { text } of note.fingerings) {
        if (isFingerText(text)) continue;
        remarks.set(text, (remarks.get(text) ?? new Set()).add(note.measure.number));
      }
    }
  }
  return [...remarks]
    .slice(0, mostRemarks)
    .map(
      ([text, measures]) =>
        `A fingering says ${JSON.stringify(text.slice(0, 40))}, which is no finger; it is left alone (measures ${listed(measures)}).`,
    );
}

/** Sentences about fingerings that are none. */
const mostRemarks = 5;

/** The main fingering of a note: not a substitution, not an alternate. */
export function mainFingering(entry: EventNote): WrittenFingering | undefined {
  for (const note of [entry.note, ...entry.doubles]) {
    const main = note.fingerings.find((fingering) => !fingering.substitution && !fingering.alternate);
    if (main) return main;
  }
  return undefined;
}

/** Reads what is printed for one hand. */
export function writtenHand(line: HandLine, brackets: HandBrackets): WrittenHand {
  const fingers = line.events.map(printedFingers);
  return { hand: line.hand, line, fingers, brackets, placings: placingsOf(line, fingers, brackets.brackets) };
}

// Rows are pushed together: of what `map` gives, V8 makes two kinds, one of them once it has optimised the code, and
// all that was compiled for the one is thrown away at the other.

function printedFingers({ notes }: LineEvent): (Finger | undefined)[] {
  const row: (Finger | undefined)[] = [];
  for (const entry of notes) {
    const digit = mainFingering(entry)?.number;
    row.push(digit !== undefined && digit >= 1 && digit <= 4 ? (digit as Finger) : undefined);
  }
  return row;
}

function stringsOf({ notes }: LineEvent): number[] {
  const strings: number[] = [];
  for (const { string } of notes) strings.push(string);
  return strings;
}

/** The line for the search, with nothing decided yet. */
export function searchLine(line: HandLine): FingeringLine {
  return {
    hand: line.hand,
    events: line.events.map((event, i) => ({
      strings: stringsOf(event),
      atMicros: event.atMicros,
      rolled: event.rolled,
      held: event.held,
      slidesOn: printedSlide(line, i) !== undefined,
      cutBefore: event.cutBefore,
      handFreeBefore: event.handFreeBefore,
    })),
    jumps: line.jumps,
  };
}

/** What of the print is kept. */
export interface Keep {
  readonly fingers: (event: number) => boolean;
  readonly placings: (placing: { readonly first: number; readonly last: number }) => boolean;
  /** No placing may reach over the ends of these events, unless a kept one does. */
  readonly within?: { readonly first: number; readonly last: number };
}

export const keepAll: Keep = { fingers: () => true, placings: () => true };

/** Keeps all that lies outside a range of events; placings that reach into it are given up. */
export function keepOutside(range: { readonly first: number; readonly last: number }): Keep {
  return {
    fingers: (event) => event < range.first || event > range.last,
    placings: ({ first, last }) => last <= range.first || first >= range.last,
    within: range,
  };
}

/** Keeps everything, and lets no new placing reach over the ends of a range. */
export function keepAllWithin(range: { readonly first: number; readonly last: number }): Keep {
  return { ...keepAll, within: range };
}

/** The range with every printed placing that reaches over one of its ends taken in whole. */
export function withWholePlacings(
  { placings }: WrittenHand,
  range: { readonly first: number; readonly last: number },
): { first: number; last: number } {
  let { first, last } = range;
  for (const placing of placings) {
    if (placing.first < range.first && placing.last > range.first) first = Math.min(first, placing.first);
    if (placing.first < range.last && placing.last > range.last) last = Math.max(last, placing.last);
  }
  return { first, last };
}

/** What is printed, as decisions for the search to keep. */
export function locksOf(written: WrittenHand, keep: Keep = keepAll): Locks {
  const placings = written.placings.filter(
    (placing) => keep.placings(placing) && isOnePlacing(written.line, placing),
  );
  const heldTogether = (event: number): boolean =>
    placings.some(({ first, last }) => first <= event && event < last);
  const isEdge = (event: number): boolean =>
    keep.within !== undefined && (event + 1 === keep.within.first || event === keep.within.last);
  return {
    fingers: written.fingers.map((row, event) => (keep.fingers(event) ? row : undefined)),
    placings: placings.map(({ first, last }) => ({ first, last })),
    joined: notJoined(written).map((apart, event) =>
      (apart && keep.fingers(event) && keep.fingers(event + 1)) || (isEdge(event) && !heldTogether(event))
        ? false
        : undefined,
    ),
  };
}

/** Brackets this near show that the music here is bracketed. */
const bracketsNearEvents = 6;

/**
 * Neighbouring events that no placing holds both of: where the music is bracketed, a fingered note outside the
 * brackets stands alone. Common practice, no source. Bars with half a bracket tell nothing.
 */
function notJoined({ line, fingers, placings, brackets }: WrittenHand): boolean[] {
  const bracketed = new Array<boolean>(line.events.length).fill(false);
  const together = new Array<boolean>(line.events.length).fill(false);
  for (const { first, last } of placings) {
    bracketed.fill(true, Math.max(0, first - bracketsNearEvents), last + bracketsNearEvents + 1);
    together.fill(true, first, last);
  }
  const unclear = new Set(brackets.unmatched.map((end) => end.measure));
  const isClear = (event: number): boolean =>
    fingers[event]!.every((finger) => finger !== undefined) &&
    !unclear.has(line.events[event]!.notes[0]!.note.measure);
  return line.events.map(
    (_, i) => i + 1 < line.events.length && bracketed[i]! && !together[i]! && isClear(i) && isClear(i + 1),
  );
}

/**
 * The finger that is printed on the single note of this event and of the next, when it can slide from the one to the
 * other; undefined when nothing of the kind is printed.
 */
export function printedSlide({ events }: HandLine, event: number): Finger | undefined {
  const [from, ...moreFrom] = events[event]?.notes ?? [];
  const [to, ...moreTo] = events[event + 1]?.notes ?? [];
  if (!from || !to || moreFrom.length > 0 || moreTo.length > 0) return undefined;
  const finger = slidingFinger(from.string, to.string);
  if (finger === undefined) return undefined;
  return [from, to].every((entry) => mainFingering(entry)?.number === finger) ? finger : undefined;
}

/**
 * True when the events go one way and hold at most four notes, one more where a printed finger slides, so that one
 * placing can take them.
 */
export function isOnePlacing(line: HandLine, { first, last }: { first: number; last: number }): boolean {
  const direction = directionOf(line, first, last);
  let notes = 0;
  for (let event = first; event <= last; event += 1) notes += line.events[event]!.notes.length;
  const slides = first < last && printedSlide(line, first) !== undefined;
  return direction !== undefined && notes <= (slides ? 5 : 4);
}

/** The way that the events go: `together` for a single one; undefined when they turn or repeat a string. */
export function directionOf(
  line: HandLine,
  first: number,
  last: number,
): "rising" | "falling" | "together" | undefined {
  let direction: "rising" | "falling" | "together" = "together";
  for (let event = first + 1; event <= last; event += 1) {
    const step = stepBetween(line, event - 1, event);
    if (!step || (direction !== "together" && step !== direction)) return undefined;
    direction = step;
  }
  return direction;
}

function stepBetween(line: HandLine, from: number, to: number): "rising" | "falling" | undefined {
  const a = line.events[from]!.notes;
  const b = line.events[to]!.notes;
  if (b[0]!.string > a[a.length - 1]!.string) return "rising";
  if (b[b.length - 1]!.string < a[0]!.string) return "falling";
  return undefined;
}

/**
 * Brackets show a crossing in three ways: the next group's bracket starts on the pivot, the bracket spans the next
 * group only, or a small bracket joins pivot and crossing note. All three come to the same placings here.
 */
function placingsOf(
  line: HandLine,
  fingers: readonly (readonly (Finger | undefined)[])[],
  brackets: readonly PrintedBracket[],
): WrittenPlacing[] {
  const longer = brackets.filter((bracket) => bracket.last > bracket.first);
  const byEvent = new Ranges(longer);
  const groups = new Set(longer.filter((bracket) => !isSmall(line, fingers, bracket, byEvent)));
  const endingAt = new Map([...groups].map((bracket) => [bracket.last, bracket]));
  return brackets
    .filter((bracket) => bracket.first === bracket.last || groups.has(bracket))
    .map((bracket) => {
      const { first, last } = bracket;
      const before = endingAt.get(first);
      const fromPivot =
        last > first &&
        ((before !== undefined && goesOn(line, before, bracket)) || fingersCross(line, fingers, first));
      return { first: fromPivot ? first + 1 : first, last, bracket, fromPivot };
    });
}

/** The bracket only joins the last note of a group and the note that is crossed to, where the next bracket starts. */
function isSmall(
  line: HandLine,
  fingers: readonly (readonly (Finger | undefined)[])[],
  bracket: PrintedBracket,
  brackets: Ranges<PrintedBracket>,
): boolean {
  const { first, last } = bracket;
  if (last !== first + 1) return false;
  const near = brackets.touching(first, last);
  if (!near.some((after) => after.first === last && goesOn(line, bracket, after))) return false;
  const isPrinted = fingers[first]![0] !== undefined && fingers[last]![0] !== undefined;
  if (isPrinted) return fingersCross(line, fingers, first);
  return near.some((before) => before.last === first && goesOn(line, before, bracket));
}

/** The second bracket goes on in the direction of the first, over the note that they share. */
function goesOn(line: HandLine, a: PrintedBracket, b: PrintedBracket): boolean {
  const arriving = stepBetween(line, a.last - 1, a.last);
  return arriving !== undefined && arriving === stepBetween(line, b.first, b.first + 1);
}

/** The printed digits of two single notes can only be played by crossing between them. */
function fingersCross(
  line: HandLine,
  fingers: readonly (readonly (Finger | undefined)[])[],
  event: number,
): boolean {
  const [a, ...moreA] = fingers[event]!;
  const [b, ...moreB] = fingers[event + 1] ?? [];
  if (a === undefined || b === undefined || moreA.length > 0 || moreB.length > 0) return false;
  const step = stepBetween(line, event, event + 1);
  return (step === "rising" && a === 1 && b > 1) || (step === "falling" && a > 1 && b === 1);
}
