import {
  type BracketToWrite,
  bracketAfter,
  bracketBefore,
  removeBracketEnd,
} from "../musicxml/bracketEdits.ts";
import {
  isFingerText,
  mainFingeringSite,
  removeFingering,
  replaceFingering,
  setFingering,
} from "../musicxml/fingeringEdits.ts";
import type { FingeringSite } from "../musicxml/noteSite.ts";
import type { PrintedBracket } from "../score/brackets.ts";
import type { EventNote, HandLine } from "../score/handLines.ts";
import type { Measure, Note, Part, Score } from "../score/model.ts";
import { pairBrackets } from "../score/pairBrackets.ts";
import { add, compare, type Rational, subtract, toNumber } from "../score/rational.ts";
import type { Edit } from "../text/edits.ts";
import { Intervals } from "../text/intervals.ts";
import { decisions, type PrintedAmount } from "./implied.ts";
import type { Placing, Solution } from "./model.ts";
import { openBrackets } from "./openBrackets.ts";
import { mainFingering, type WrittenHand, type WrittenPlacing } from "./written.ts";

/**
 * How a crossing is printed: the bracket of the group after it starts on the pivot, or it spans the group only, or it
 * does so and a small bracket joins the pivot and the note that is crossed to.
 */
export type CrossingStyle = "fromPivot" | "nextGroup" | "smallBracket";

/** What to write of a solution. */
export interface WriteOptions {
  /** False keeps every printed finger and bracket and only adds. */
  readonly replace: boolean;
  /** Which fingers are added; every one without it. Those that are printed stay in any case. */
  readonly amount?: PrintedAmount;
}

/** The text that is written into. */
export interface WriteTarget {
  readonly text: string;
  readonly score: Score;
  /** How crossings are printed; from the pivot without it. */
  readonly crossingStyle?: CrossingStyle;
}

/** A hand and what was found for it. */
export interface FingeredHand {
  readonly written: WrittenHand;
  readonly solution: Solution;
  /** Inclusive range of events to write; all without it. */
  readonly range?: { readonly first: number; readonly last: number };
}

/**
 * The edits that put fingerings and placing brackets of these hands into the score. What is printed already and
 * agrees stays as it is, so that writing twice changes nothing the second time.
 *
 * A bracket starts before the first note of its placing and stops after the last. After a crossing it usually starts
 * on the pivot, because two brackets that only abut look the same whether the hand stays or comes off. A placing of
 * one note has no bracket.
 */
export function writeFingering(
  target: WriteTarget,
  hands: readonly FingeredHand[],
  options: WriteOptions,
): Edit[] {
  const edits: Edit[] = [];
  const planned: PlannedBracket[] = [];
  const removed = new Set<unknown>();
  for (const { written, solution, range: asked } of hands) {
    const range = asked ?? { first: 0, last: written.line.events.length - 1 };
    const fingers =
      options.amount === "decisions" ? decidedFingers(target, written, solution, options, range) : undefined;
    edits.push(
      ...fingerEdits(
        target.text,
        written,
        { ...solution, fingers: fingers ?? solution.fingers },
        options.replace,
        range,
      ),
    );
    const plan = planBrackets(target, written, solution, options.replace, range);
    planned.push(...plan.added);
    for (const end of plan.removedEnds) {
      removed.add(end);
      edits.push(removeBracketEnd(target.text, end.removal));
    }
  }
  const numbers = new BracketNumbers(target.score, removed);
  for (const bracket of planned) edits.push(...bracketEdits(target.text, bracket, numbers.take(bracket)));
  return edits;
}

function fingerEdits(
  text: string,
  written: WrittenHand,
  solution: Solution,
  replace: boolean,
  range: { first: number; last: number },
): Edit[] {
  const edits: Edit[] = [];
  const placement = written.hand === "right" ? "above" : "below";
  for (let event = range.first; event <= range.last; event += 1) {
    const { notes } = written.line.events[event]!;
    const wanted = solution.fingers[event]!;
    if (notes.some((entry) => mainFingering(entry)?.writtenOn)) {
      if (replace) edits.push(...sharedOutEdits(text, notes, wanted, placement));
      continue;
    }
    notes.forEach((entry, stringAt) => {
      const finger = wanted[stringAt];
      const note = notePrinted(entry);
      const main = mainFingeringSite(note.site);
      // What is no finger is somebody's remark, and stays.
      if (finger === undefined || (main && (!replace || !isFingerText(main.text)))) return;
      const edit = setFingering(text, note.site, String(finger), placement);
      if (edit) edits.push(edit);
    });
  }
  return edits;
}

/** The fingers of a solution, without those that need no print and have none. */
function decidedFingers(
  { crossingStyle }: WriteTarget,
  written: WrittenHand,
  solution: Solution,
  { replace }: WriteOptions,
  range: { first: number; last: number },
): Solution["fingers"] {
  const added = new Set(
    bracketsToAdd(written, solution, replace, range, crossingStyle).map(
      ({ first, last }) => `${first} ${last}`,
    ),
  );
  const printed = new Set(written.placings.map(({ first, last }) => `${first} ${last}`));
  const bracketed = solution.placings.filter(
    ({ first, last }) =>
      printed.has(`${first} ${last}`) || added.has(`${first} ${last}`) || added.has(`${first - 1} ${last}`),
  );
  const shown = decisions(written, solution, bracketed);
  return solution.fingers.map((row, event) =>
    row.map((finger, stringAt) =>
      shown[event]![stringAt] || mainFingering(written.line.events[event]!.notes[stringAt]!)
        ? finger
        : undefined,
    ),
  );
}

/** Fingers that all stand on one note of their chord go to the notes that they belong to, unless they are right. */
function sharedOutEdits(
  text: string,
  notes: readonly EventNote[],
  wanted: Solution["fingers"][number],
  placement: "above" | "below",
): Edit[] {
  const isRight = notes.every(
    (entry, i) => wanted[i] === undefined || mainFingering(entry)?.number === wanted[i],
  );
  if (isRight) return [];
  const holders = new Set(notes.flatMap((entry) => mainFingering(entry)?.writtenOn ?? []));
  const edits: Edit[] = [];
  notes.forEach((entry, i) => {
    const finger = wanted[i];
    const note = [entry.note, ...entry.doubles].find((candidate) => holders.has(candidate)) ?? entry.note;
    if (!holders.has(note)) {
      const edit =
        finger === undefined ? undefined : setFingering(text, note.site, String(finger), placement);
      if (edit) edits.push(edit);
      return;
    }
    const [own, ...others] = mainFingeringSites(note);
    if (own && finger !== undefined) edits.push(replaceFingering(text, own, String(finger)));
    for (const other of others) edits.push(removeFingering(text, note.site, other));
  });
  return edits;
}

function mainFingeringSites(note: Note): FingeringSite[] {
  return note.site.notations
    .flatMap((notations) => notations.technical.flatMap((technical) => technical.fingerings))
    .filter((fingering) => !fingering.substitution && !fingering.alternate);
}

/** Of several notes on one string at one instant, the one that carries the digit. */
export function notePrinted(entry: EventNote): Note {
  return [entry.note, ...entry.doubles].find((note) => mainFingeringSite(note.site)) ?? entry.note;
}

interface PlannedBracket {
  readonly part: Part;
  readonly placement: "above" | "below";
  readonly startNote: Note;
  readonly stopNote: Note;
  readonly stopOffsetDivisions: number;
}

function planBrackets(
  { score, crossingStyle }: WriteTarget,
  written: WrittenHand,
  solution: Solution,
  replace: boolean,
  range: { first: number; last: number },
): { added: PlannedBracket[]; removedEnds: WrittenPlacing["bracket"]["start"][] } {
  const { line } = written;
  // Of two brackets over the same notes one is enough.
  const printed = new Map(written.placings.map((placing) => [`${placing.first} ${placing.last}`, placing]));
  const kept = new Set(solution.placings.map(({ first, last }) => printed.get(`${first} ${last}`)));
  const added = bracketsToAdd(written, solution, replace, range, crossingStyle).map(({ first, last }) =>
    planBracket(score, line, written.hand, first, last),
  );
  if (!replace) return { added, removedEnds: [] };
  const within = ({ first, last }: { first: number; last: number }): boolean =>
    first >= range.first && last <= range.last;
  const removedEnds = [
    ...written.placings
      .filter((placing) => !kept.has(placing) && within(placing))
      .map(({ bracket }) => bracket),
    ...smallBracketsGone(written, solution).filter(within),
  ].flatMap(({ start, stop }) => [start, stop]);
  const whole = range.first === 0 && range.last === line.events.length - 1;
  return { added, removedEnds: whole ? [...removedEnds, ...written.brackets.unmatched] : removedEnds };
}

/**
 * The brackets that printing a solution adds to those that are there: inclusive ranges of events, the pivot of a
 * crossing included.
 *
 * @param replace       false leaves out those that would lie over a printed one.
 * @param crossingStyle of a group that gets its bracket; a printed one keeps the way it is printed.
 */
export function bracketsToAdd(
  written: WrittenHand,
  solution: Solution,
  replace: boolean,
  range: { readonly first: number; readonly last: number },
  crossingStyle: CrossingStyle = "fromPivot",
): { readonly first: number; readonly last: number }[] {
  const printed = new Set(written.placings.map(({ first, last }) => `${first} ${last}`));
  const drawn = new Set(written.brackets.brackets.map(({ first, last }) => `${first} ${last}`));
  return solution.placings.flatMap((placing) => {
    const { first, last } = placing;
    const inRange = first >= range.first && last <= range.last;
    if (!inRange || printed.has(`${first} ${last}`)) return [];
    if (!replace && clashesWithPrinted(written, placing)) return [];
    // A pivot outside the range stays as it is, and one whose digit says something else does not show a crossing.
    const crossing =
      placing.joint === "cross" &&
      first > range.first &&
      digitShows(written, solution, first - 1, replace) &&
      digitShows(written, solution, first, replace);
    const small = crossing && crossingStyle === "smallBracket";
    const withPivot = crossing && (crossingStyle === "fromPivot" || (small && first === last));
    const joining = { first: first - 1, last: first };
    const drawnJoining = drawn.has(`${joining.first} ${joining.last}`);
    return [
      ...(small && !withPivot && !drawnJoining ? [joining] : []),
      { first: withPivot ? first - 1 : first, last },
    ].filter((bracket) => bracket.first < bracket.last);
  });
}

/** Whether the single note of an event will have in print the finger that was found for it. */
function digitShows(written: WrittenHand, solution: Solution, event: number, replace: boolean): boolean {
  const main = mainFingering(written.line.events[event]!.notes[0]!);
  return !main || main.number === solution.fingers[event]![0] || (replace && isFingerText(main.text));
}

/** Small printed brackets over what is no crossing any more. */
function smallBracketsGone({ brackets, placings }: WrittenHand, solution: Solution): PrintedBracket[] {
  const groups = new Set(placings.map(({ bracket }) => bracket));
  const crossings = new Set(
    solution.placings.filter(({ joint }) => joint === "cross").map(({ first }) => first),
  );
  return brackets.brackets.filter((bracket) => !groups.has(bracket) && !crossings.has(bracket.last));
}

/** A printed bracket over some of the same notes stays; a second one over it would only confuse. */
function clashesWithPrinted(written: WrittenHand, placing: Placing): boolean {
  return written.placings.some(
    (other) => other.first < placing.last && placing.first < other.last && other.first !== other.last,
  );
}

function planBracket(
  score: Score,
  line: HandLine,
  hand: "right" | "left",
  first: number,
  last: number,
): PlannedBracket {
  const startNote = bracketStartNote(line, first);
  return {
    part: line.events[first]!.part,
    placement: hand === "right" ? "above" : "below",
    startNote,
    ...bracketStop(score, line, last, startNote.voice),
  };
}

/** The note before which a bracket over this event and later ones starts. */
export function bracketStartNote(line: HandLine, event: number): Note {
  const { part, notes } = line.events[event]!;
  return headOf(part, earliest(notes));
}

/**
 * The note after which a bracket that ends with this event stops, and how far from there: not after the next event
 * of the hand begins.
 */
export function bracketStop(
  score: Score,
  line: HandLine,
  event: number,
  voice: string,
): { stopNote: Note; stopOffsetDivisions: number } {
  const next = line.events[event + 1];
  const stop = stopNote(score, line.events[event]!.part, line.events[event]!.notes, voice);
  const end = add(score.measureStarts[stop.measure.index]!, add(stop.position, stop.duration));
  const late = next && compare(next.onset, end) < 0 && !stop.grace ? subtract(end, next.onset) : undefined;
  return {
    stopNote: stop,
    stopOffsetDivisions: late ? -Math.ceil(toNumber(late) * toNumber(stop.measure.divisions)) : 0,
  };
}

function earliest(notes: readonly EventNote[]): Note {
  return notes.map((entry) => entry.note).reduce((a, b) => (b.index < a.index ? b : a));
}

/** The note that a chord hangs on: a direction may stand before it, but not between the notes of a chord. */
function headOf(part: Part, note: Note): Note {
  let head = note;
  while (head.chord && head.index > 0) head = part.notes[head.index - 1]!;
  return head;
}

function tailOf(part: Part, note: Note): Note {
  let tail = note;
  for (let next = part.notes[tail.index + 1]; next?.chord; next = part.notes[tail.index + 1]) tail = next;
  return tail;
}

/** The last note of a chord in the document: of the voice that the bracket began in, or of the shortest note. */
function stopNote(score: Score, part: Part, notes: readonly EventNote[], voice: string): Note {
  const candidates = notes.flatMap((entry) => [entry.note, ...entry.doubles]);
  const sameVoice = candidates.filter((note) => note.voice === voice);
  const pool = sameVoice.length > 0 ? sameVoice : candidates;
  const ends = (note: Note): Rational =>
    add(score.measureStarts[note.measure.index]!, add(note.position, note.duration));
  return tailOf(
    part,
    pool.reduce((a, b) => (compare(ends(b), ends(a)) < 0 ? b : a)),
  );
}

/**
 * Hands out bracket numbers: 1 and 2 by turns on the first staff, 3 and 4 on the second, others when those are open
 * at the place. Numbers tell brackets apart that overlap in document order. Source: MusicXML 4.0, number-level.
 */
class BracketNumbers {
  readonly #score: Score;
  readonly #removed: ReadonlySet<unknown>;
  /** For each part and number, where in the text, and when on each staff, a bracket is open. */
  readonly #taken = new Map<Part, { readonly text: Intervals[]; readonly time: Map<string, Intervals> }>();

  constructor(score: Score, removed: ReadonlySet<unknown>) {
    this.#score = score;
    this.#removed = removed;
  }

  take({ part, startNote, stopNote }: PlannedBracket): number {
    const start = Math.min(startNote.site.span.start, stopNote.site.span.start);
    const end = Math.max(startNote.site.span.end, stopNote.site.span.end);
    const wanted = startNote.staff % 2 === 1 ? [1, 2, 5, 6, 3, 4] : [3, 4, 7, 8, 1, 2];
    const all = [...wanted, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16];
    const printed = new Set<number>();
    for (const { ends, number } of openBrackets(part).between(start, end)) {
      if (!ends.every((each) => this.#removed.has(each))) printed.add(number);
    }
    const { text, time } = this.#takenIn(part);
    const from = this.#ticks(startNote.measure, startNote.position);
    const to = this.#ticks(stopNote.measure, add(stopNote.position, stopNote.duration));
    const isFree = (number: number): boolean =>
      !printed.has(number) &&
      !text[number]!.overlaps(start, end) &&
      !time.get(`${startNote.staff} ${number}`)?.overlaps(from, to);
    const number = all.find(isFree) ?? 1;
    text[number]!.add(start, end);
    onStaff(time, startNote.staff, number).add(from, to);
    return number;
  }

  #takenIn(part: Part): { readonly text: Intervals[]; readonly time: Map<string, Intervals> } {
    let taken = this.#taken.get(part);
    if (!taken) {
      taken = {
        text: Array.from({ length: mostBracketNumber + 1 }, () => new Intervals()),
        time: new Map(),
      };
      // Readers pair the ends on a staff by number as the music goes, so brackets open at one time differ in number.
      for (const { start, stop } of pairBrackets(part, this.#score.measureStarts).pairs) {
        if (this.#removed.has(start) && this.#removed.has(stop)) continue;
        const from = this.#ticks(start.measure, start.position);
        onStaff(taken.time, start.staff, start.number).add(from, this.#ticks(stop.measure, stop.position));
      }
      this.#taken.set(part, taken);
    }
    return taken;
  }

  /** A time in whole units that are fine enough to tell brackets apart. */
  #ticks(measure: Measure, position: Rational): number {
    return Math.round(toNumber(add(this.#score.measureStarts[measure.index]!, position)) * ticksPerQuarter);
  }
}

const ticksPerQuarter = 20_160;

function onStaff(time: Map<string, Intervals>, staff: number, number: number): Intervals {
  const key = `${staff} ${number}`;
  let intervals = time.get(key);
  if (!intervals) {
    intervals = new Intervals();
    time.set(key, intervals);
  }
  return intervals;
}

/** Source: MusicXML 4.0, number-level. */
const mostBracketNumber = 16;

function bracketEdits(text: string, planned: PlannedBracket, number: number): Edit[] {
  const { part, placement, startNote, stopNote, stopOffsetDivisions } = planned;
  const at = (note: Note): Pick<BracketToWrite, "number" | "placement" | "voice" | "staff"> => ({
    number,
    placement,
    voice: note.voice,
    // Where the hand crosses the staves the bracket stays on the one that it began on.
    staff: part.staves > 1 ? startNote.staff : undefined,
  });
  return [
    bracketBefore(text, startNote.site, { ...at(startNote), type: "start", offsetDivisions: 0 }),
    bracketAfter(text, stopNote.site, {
      ...at(stopNote),
      type: "stop",
      offsetDivisions: stopOffsetDivisions,
    }),
  ];
}
