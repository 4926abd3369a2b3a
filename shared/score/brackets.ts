import { firstWhere } from "../text/firstWhere.ts";
import { listed } from "./chordFingerings.ts";
import type { HandLine } from "./handLines.ts";
import { type HandName, type HarpChoice, handOf, handOfNote } from "./hands.ts";
import type { BracketEnd, Part, Score } from "./model.ts";
import { type PairedBrackets, pairBrackets } from "./pairBrackets.ts";
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

/**
 * A placing is short, about a bar; in quarter notes. A longer bracket is one only when it stands over two to four
 * notes in one direction, as in quick music of few notes.
 */
const shortQuarters = 8;

/**
 * Pairs the brackets of the harp's parts and finds the notes under them.
 *
 * @param plainLines whether brackets without hooks are placings too.
 */
export function readBrackets(
  score: Score,
  harp: HarpChoice,
  lines: readonly HandLine[],
  plainLines = false,
): HandBrackets[] {
  const parts = harp.parts.map((part) => ({
    part,
    paired: pairBrackets(part, score.measureStarts, plainLines),
    handOf: handsOfEnds(score, harp, part),
  }));
  return lines.map((line) => {
    const pairs: Pair[] = [];
    const unmatched: BracketEnd[] = [];
    const foreign: BracketEnd[] = [];
    for (const { part, paired, handOf } of parts) {
      const own = (end: BracketEnd): boolean => handOf(end) === line.hand;
      pairs.push(
        ...paired.pairs.filter(({ start }) => own(start)).map((pair) => withTimes(score, part, pair)),
      );
      unmatched.push(...paired.unmatched.filter(own));
      foreign.push(...paired.foreign.filter(own));
    }
    const place = new Placer(line);
    const both = pairs.map((pair) => place.ranges(pair));
    const after = both.map((ranges) => ranges.after);
    const at = both.map((ranges) => ranges.at);
    const stopsAtOnset = countPlayable(line, at) > countPlayable(line, after);
    const brackets: PrintedBracket[] = [];
    (stopsAtOnset ? at : after).forEach((range, i) => {
      const { start, stop, part, from, to } = pairs[i]!;
      if (!range) unmatched.push(start, stop);
      else if (toNumber(subtract(to, from)) > shortQuarters && !isPlayable(line, range))
        foreign.push(start, stop);
      else brackets.push({ first: range.first, last: range.last, start, stop, part });
    });
    brackets.sort((a, b) => a.first - b.first || a.last - b.last);
    return { hand: line.hand, brackets, unmatched, foreign, stopsAtOnset };
  });
}

/** What was assumed about the brackets, in sentences. */
export function aboutBrackets(hands: readonly HandBrackets[]): string[] {
  const sentences: string[] = [];
  const foreign = hands.flatMap((hand) => hand.foreign);
  if (foreign.length > 0) {
    const bars = new Set(foreign.map((end) => end.measure.number));
    sentences.push(
      `Some brackets are no placings (without hooks, with words, or too long) and are left alone (measures ${listed(bars)}).`,
    );
  }
  for (const { hand, stopsAtOnset } of hands) {
    if (!stopsAtOnset) continue;
    sentences.push(
      `Brackets of the ${hand} hand that stop at a note's onset are taken to include that note.`,
    );
  }
  return sentences;
}

interface Pair {
  readonly start: BracketEnd;
  readonly stop: BracketEnd;
  readonly part: Part;
  readonly from: Rational;
  readonly to: Rational;
}

function withTimes(score: Score, part: Part, { start, stop }: PairedBrackets["pairs"][number]): Pair {
  return { start, stop, part, from: timeOf(score, start), to: timeOf(score, stop) };
}

function timeOf(score: Score, end: Pick<BracketEnd, "measure" | "position">): Rational {
  return add(score.measureStarts[end.measure.index]!, end.position);
}

/**
 * The hand of a bracket's end: its staff's, or that of the first note under it where words or a crossing voice gave
 * that to another; a note of the end's own voice goes before others.
 */
function handsOfEnds(score: Score, harp: HarpChoice, part: Part): (end: BracketEnd) => HandName {
  if (harp.exceptions.size === 0) return (end) => handOf(harp, part, end.staff);
  const where = new Map<string, { at: Rational; hand: HandName }[]>();
  for (const note of part.notes) {
    const hand = handOfNote(harp, part, note);
    if (!hand) continue;
    for (const key of [`${note.staff}`, `${note.staff} ${note.voice}`]) {
      const notes = where.get(key) ?? [];
      notes.push({ at: timeOf(score, note), hand });
      where.set(key, notes);
    }
  }
  for (const notes of where.values()) notes.sort((a, b) => compare(a.at, b.at));
  const nextTo = (end: BracketEnd, key: string): { at: Rational; hand: HandName } | undefined => {
    const notes = where.get(key) ?? [];
    const time = timeOf(score, end);
    const next = firstWhere(notes.length, (i) => compare(notes[i]!.at, time) >= 0);
    return end.type === "stop" ? notes[next - 1] : notes[next];
  };
  return (end) => {
    const onStaff = nextTo(end, `${end.staff}`);
    const inVoice = end.voice === undefined ? undefined : nextTo(end, `${end.staff} ${end.voice}`);
    const note = inVoice && onStaff && compare(inVoice.at, onStaff.at) === 0 ? inVoice : onStaff;
    return note?.hand ?? handOf(harp, part, end.staff);
  };
}

interface Range {
  readonly first: number;
  readonly last: number;
}

/** An end this near to an onset is meant to be at it, unless the notes are as close themselves. In quarter notes. */
const nearQuarters = 1 / 16;
const nearShare = 1 / 4;

/** Finds the events that lie between two ends. */
class Placer {
  readonly #line: HandLine;

  constructor(line: HandLine) {
    this.#line = line;
  }

  /** Without the notes at whose onset the bracket stops (`after`), and with them (`at`). */
  ranges(pair: Pair): { readonly after: Range | undefined; readonly at: Range | undefined } {
    const { events } = this.#line;
    const start = this.#onsetNear(pair.from);
    const stop = this.#onsetNear(pair.to);
    let first = this.#firstFrom(start);
    // A grace note written before the bracket's start is not under it.
    while (first < events.length && events[first]!.grace && compare(events[first]!.onset, start) === 0) {
      if (this.#writtenAfter(first, pair.start)) break;
      first += 1;
    }
    const fromStop = this.#firstFrom(stop);
    const until = (stopsAtOnset: boolean): Range | undefined => {
      let last = fromStop - 1;
      while (last + 1 < events.length && compare(events[last + 1]!.onset, stop) === 0) {
        const next = events[last + 1]!;
        const included = next.grace ? !this.#writtenAfter(last + 1, pair.stop) : stopsAtOnset;
        if (!included) break;
        last += 1;
      }
      return first <= last ? { first, last } : undefined;
    };
    return { after: until(false), at: until(true) };
  }

  /** The onset that a time is meant for: rounding and small offsets put ends slightly beside the notes. */
  #onsetNear(at: Rational): Rational {
    const { events } = this.#line;
    const next = this.#firstFrom(at);
    const before = events[next - 1]?.onset;
    const after = events[next]?.onset;
    const gap = before && after ? nearShare * toNumber(subtract(after, before)) : Number.POSITIVE_INFINITY;
    const near = Math.min(nearQuarters, gap);
    if (after && toNumber(subtract(after, at)) <= near) return after;
    if (before && toNumber(subtract(at, before)) <= near) return before;
    return at;
  }

  /** True when the event's first note stands after this end in the document. */
  #writtenAfter(event: number, end: BracketEnd): boolean {
    const note = this.#line.events[event]!.notes[0]!.note;
    return note.measure.index > end.measure.index || note.index >= end.notesBefore;
  }

  /** The first event with an onset not before `at`. */
  #firstFrom(at: Rational): number {
    const { events } = this.#line;
    return firstWhere(events.length, (i) => compare(events[i]!.onset, at) >= 0);
  }
}

/** How many brackets would be placings: two to four notes in one direction, digits in the order of the strings. */
function countPlayable(line: HandLine, ranges: readonly (Range | undefined)[]): number {
  return ranges.filter((range) => range !== undefined && isPlayable(line, range)).length;
}

function isPlayable(line: HandLine, { first, last }: Range): boolean {
  if (last - first >= 4) return false;
  let notes = line.events[first]!.notes.length;
  let rising = true;
  let falling = true;
  for (let i = first + 1; i <= last; i += 1) {
    const here = line.events[i]!.notes;
    const before = line.events[i - 1]!.notes;
    notes += here.length;
    rising &&= here[0]!.string > before[before.length - 1]!.string;
    falling &&= here[here.length - 1]!.string < before[0]!.string;
  }
  if (notes < 2 || notes > 4 || !(rising || falling)) return false;
  let below = Number.POSITIVE_INFINITY;
  for (let i = first; i <= last; i += 1) {
    for (const { note } of line.events[rising ? i : first + last - i]!.notes) {
      const digit = note.fingerings[0]?.number;
      if (digit === undefined) continue;
      if (digit >= below) return false;
      below = digit;
    }
  }
  return true;
}
