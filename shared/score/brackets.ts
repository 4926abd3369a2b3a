import type { HandLine } from "./handLines.ts";
import { type HandName, type HarpChoice, handOf } from "./hands.ts";
import type { BracketEnd, Part, Score } from "./model.ts";
import { add, compare, type Rational, subtract, toNumber } from "./rational.ts";

/** A placing bracket as printed: which events of its hand it spans. */
export interface PrintedBracket {
  /** Inclusive range of events. */
  readonly first: number;
  readonly last: number;
  readonly start: BracketEnd;
  readonly stop: BracketEnd;
  readonly part: Part;
}

/** The brackets of one hand. */
export interface HandBrackets {
  readonly hand: HandName;
  /** In order of their first event, then of their last. */
  readonly brackets: readonly PrintedBracket[];
  /** Ends that have no other end, or brackets with no note between their ends. */
  readonly unmatched: readonly BracketEnd[];
  /** Brackets that are something else: lines for words, analysis, voices. They are left alone. */
  readonly foreign: readonly BracketEnd[];
  /** Whether a stop at a note's onset includes that note; found out from what makes the brackets playable. */
  readonly stopsAtOnset: boolean;
}

/** A placing is short: longer brackets mean something else. In quarter notes; a placing may cross a barline. */
const longestQuarters = 8;

const hooks = new Set(["up", "down", "both"]);

/** Pairs the brackets of the harp's parts and finds the notes under them. */
export function readBrackets(score: Score, harp: HarpChoice, lines: readonly HandLine[]): HandBrackets[] {
  return lines.map((line) => {
    const pairs: Pair[] = [];
    const unmatched: BracketEnd[] = [];
    const foreign: BracketEnd[] = [];
    for (const part of harp.parts) {
      const ends = part.brackets.filter((end) => handOf(harp, part, end.staff) === line.hand);
      pairUp(score, part, ends, { pairs, unmatched, foreign });
    }
    const place = new Placer(score, line);
    const after = pairs.map((pair) => place.range(pair, false));
    const at = pairs.map((pair) => place.range(pair, true));
    const stopsAtOnset = countPlayable(line, at) > countPlayable(line, after);
    const brackets: PrintedBracket[] = [];
    (stopsAtOnset ? at : after).forEach((range, i) => {
      const { start, stop, part } = pairs[i]!;
      if (range) brackets.push({ ...range, start, stop, part });
      else unmatched.push(start, stop);
    });
    brackets.sort((a, b) => a.first - b.first || a.last - b.last);
    return { hand: line.hand, brackets, unmatched, foreign, stopsAtOnset };
  });
}

interface Pair {
  readonly start: BracketEnd;
  readonly stop: BracketEnd;
  readonly part: Part;
}

interface Range {
  readonly first: number;
  readonly last: number;
}

/**
 * Matches starts and stops of one staff and number in order of time. The standard pairs them by number; programs
 * that write a staff's music voice by voice put a stop before its start in the document.
 */
function pairUp(
  score: Score,
  part: Part,
  ends: readonly BracketEnd[],
  found: { pairs: Pair[]; unmatched: BracketEnd[]; foreign: BracketEnd[] },
): void {
  const inTime = ends
    .map((end, order) => ({ end, order, at: timeOf(score, end) }))
    .sort((a, b) => compare(a.at, b.at) || a.order - b.order);
  const open = new Map<string, BracketEnd>();
  for (const { end } of inTime) {
    const key = `${end.staff} ${end.number}`;
    const start = open.get(key);
    if (end.type === "start") {
      if (start) unmatchedOrForeign(start, found);
      open.set(key, end);
    } else if (end.type === "stop") {
      open.delete(key);
      if (!start) unmatchedOrForeign(end, found);
      else if (isPlacing(score, start, end)) found.pairs.push({ start, stop: end, part });
      else found.foreign.push(start, end);
    }
  }
  for (const start of open.values()) unmatchedOrForeign(start, found);
}

function unmatchedOrForeign(
  end: BracketEnd,
  found: { unmatched: BracketEnd[]; foreign: BracketEnd[] },
): void {
  if (hooks.has(end.lineEnd) && !end.withWords) found.unmatched.push(end);
  else found.foreign.push(end);
}

function isPlacing(score: Score, start: BracketEnd, stop: BracketEnd): boolean {
  if (start.withWords || stop.withWords) return false;
  if (!hooks.has(start.lineEnd) || !hooks.has(stop.lineEnd)) return false;
  return toNumber(subtract(timeOf(score, stop), timeOf(score, start))) <= longestQuarters;
}

function timeOf(score: Score, end: BracketEnd): Rational {
  return add(score.measureStarts[end.measure.index]!, end.position);
}

/** Finds the events that lie between two ends. */
class Placer {
  readonly #score: Score;
  readonly #line: HandLine;

  constructor(score: Score, line: HandLine) {
    this.#score = score;
    this.#line = line;
  }

  range(pair: Pair, stopsAtOnset: boolean): Range | undefined {
    const { events } = this.#line;
    const start = timeOf(this.#score, pair.start);
    const stop = timeOf(this.#score, pair.stop);
    let first = this.#firstFrom(start);
    // A grace note written before the bracket's start is not under it.
    while (first < events.length && events[first]!.grace && compare(events[first]!.onset, start) === 0) {
      if (this.#writtenAfter(first, pair.start)) break;
      first += 1;
    }
    let last = this.#firstFrom(stop) - 1;
    while (last + 1 < events.length && compare(events[last + 1]!.onset, stop) === 0) {
      const next = events[last + 1]!;
      const included = next.grace ? !this.#writtenAfter(last + 1, pair.stop) : stopsAtOnset;
      if (!included) break;
      last += 1;
    }
    return first <= last ? { first, last } : undefined;
  }

  /** True when the event's first note stands after this end in the document. */
  #writtenAfter(event: number, end: BracketEnd): boolean {
    const note = this.#line.events[event]!.notes[0]!.note;
    return note.measure.index > end.measure.index || note.index >= end.notesBefore;
  }

  /** The first event with an onset not before `at`. */
  #firstFrom(at: Rational): number {
    const { events } = this.#line;
    let low = 0;
    let high = events.length;
    while (low < high) {
      const middle = (low + high) >> 1;
      if (compare(events[middle]!.onset, at) < 0) low = middle + 1;
      else high = middle;
    }
    return low;
  }
}

/** How many brackets would be placings: two to four notes in one direction, digits in the order of the strings. */
function countPlayable(line: HandLine, ranges: readonly (Range | undefined)[]): number {
  return ranges.filter((range) => range !== undefined && isPlayable(line, range)).length;
}

function isPlayable(line: HandLine, { first, last }: Range): boolean {
  const events = line.events.slice(first, last + 1);
  const notes = events.flatMap((event) => event.notes);
  if (notes.length < 2 || notes.length > 4) return false;
  const rising = events.every(
    (event, i) => i === 0 || event.notes[0]!.string > events[i - 1]!.notes.at(-1)!.string,
  );
  const falling = events.every(
    (event, i) => i === 0 || event.notes.at(-1)!.string < events[i - 1]!.notes[0]!.string,
  );
  if (!rising && !falling) return false;
  const byString = [...notes].sort((a, b) => a.string - b.string);
  const digits = byString
    .map((entry) => entry.note.fingerings[0]?.number)
    .filter((digit) => digit !== undefined);
  return digits.every((digit, i) => i === 0 || digit < digits[i - 1]!);
}
