import type { BracketEnd, Part } from "./model.ts";
import { add, compare, type Rational, subtract, toNumber } from "./rational.ts";

/** The ends of brackets, put together. */
export interface PairedBrackets {
  readonly pairs: readonly { readonly start: BracketEnd; readonly stop: BracketEnd }[];
  /** Ends of placing brackets without their other end. */
  readonly unmatched: readonly BracketEnd[];
  /** Ends of brackets that are no placings. */
  readonly foreign: readonly BracketEnd[];
}

/** Brackets longer than this mean something else, whatever is under them. In quarter notes. */
const longestQuarters = 16;

/** How the ends of a placing may look. Source: MusicXML 4.0, line-end. */
const hooks: ReadonlySet<string> = new Set(["up", "down", "both"]);
const hooksAndLines: ReadonlySet<string> = new Set([...hooks, "none"]);

/**
 * Matches starts and stops of one staff and number in order of time. The standard pairs them by number in the order of
 * the document; programs that write a staff's music voice by voice put a stop before its start, and many give
 * brackets that overlap the same number. Of two that are open at once the first to start is the first to stop, since
 * placings overlap and do not nest.
 *
 * Source: MusicXML 4.0, bracket, number-level.
 *
 * @param plainLines whether brackets without hooks are placings too.
 */
export function pairBrackets(
  part: Part,
  measureStarts: readonly Rational[],
  plainLines = false,
): PairedBrackets {
  const found = { pairs: [], unmatched: [], foreign: [] } as {
    pairs: { start: BracketEnd; stop: BracketEnd }[];
    unmatched: BracketEnd[];
    foreign: BracketEnd[];
  };
  const byNumber = new Map<string, TimedEnd[]>();
  part.brackets.forEach((end, order) => {
    if (end.type === "continue") return;
    const key = `${end.staff} ${end.number}`;
    const timed = { end, order, at: add(measureStarts[end.measure.index]!, end.position) };
    const known = byNumber.get(key);
    if (known) known.push(timed);
    else byNumber.set(key, [timed]);
  });
  const ways = plainLines ? hooksAndLines : hooks;
  for (const ends of byNumber.values()) pairNumber(ends, ways, found);
  return found;
}

interface TimedEnd {
  readonly end: BracketEnd;
  readonly order: number;
  readonly at: Rational;
}

function pairNumber(
  ends: TimedEnd[],
  ways: ReadonlySet<string>,
  found: { pairs: { start: BracketEnd; stop: BracketEnd }[]; unmatched: BracketEnd[]; foreign: BracketEnd[] },
): void {
  const inTime = stopsBeforeStarts(ends.sort((a, b) => compare(a.at, b.at) || a.order - b.order));
  const open: TimedEnd[] = [];
  const lone = ({ end }: TimedEnd): void => {
    (isPlacingEnd(end, ways) ? found.unmatched : found.foreign).push(end);
  };
  inTime.forEach((timed, i) => {
    if (timed.end.type === "start") {
      // Two starts overlap when two stops follow; else the first was never stopped.
      if (!areStops(inTime, i + 1)) for (const start of open.splice(0)) lone(start);
      open.push(timed);
      return;
    }
    const start = open.shift();
    if (!start) lone(timed);
    else if (isPlacing(start, timed, ways)) found.pairs.push({ start: start.end, stop: timed.end });
    else found.foreign.push(start.end, timed.end);
  });
  for (const start of open) lone(start);
}

function areStops(inTime: readonly TimedEnd[], at: number): boolean {
  return inTime[at]?.end.type === "stop" && inTime[at + 1]?.end.type === "stop";
}

/**
 * Where one bracket stops and the next starts at one instant, the stop comes first, however the document has them:
 * unless nothing is open there, when the stop belongs to that start.
 */
function stopsBeforeStarts(inTime: readonly TimedEnd[]): TimedEnd[] {
  const ordered: TimedEnd[] = [];
  let open = 0;
  let openedAt: Rational | undefined;
  for (let i = 0; i < inTime.length; ) {
    let next = i;
    const starts: TimedEnd[] = [];
    const stops: TimedEnd[] = [];
    while (next < inTime.length && compare(inTime[next]!.at, inTime[i]!.at) === 0) {
      const timed = inTime[next]!;
      (timed.end.type === "start" ? starts : stops).push(timed);
      next += 1;
    }
    // What was never stopped must not take the stop of another bracket, here or bars later.
    const isForgotten =
      (openedAt !== undefined && toNumber(subtract(inTime[i]!.at, openedAt)) > longestQuarters) ||
      (starts.length > 0 && stops.length === 0 && !areStops(inTime, next));
    if (isForgotten) open = 0;
    const closing = stops.slice(0, open);
    ordered.push(...closing, ...starts, ...stops.slice(closing.length));
    open = Math.max(0, open + starts.length - stops.length);
    if (starts.length > 0) openedAt = inTime[i]!.at;
    i = next;
  }
  return ordered;
}

function isPlacingEnd(end: BracketEnd, ways: ReadonlySet<string>): boolean {
  return ways.has(end.lineEnd) && !end.withWords && end.removable;
}

function isPlacing(start: TimedEnd, stop: TimedEnd, ways: ReadonlySet<string>): boolean {
  if (!isPlacingEnd(start.end, ways) || !isPlacingEnd(stop.end, ways)) return false;
  return toNumber(subtract(stop.at, start.at)) <= longestQuarters;
}
