/**
 * Every fingering of a short line, one by one. Nothing is cut short and nothing is taken from the search: what is
 * legal and what it costs is the evaluator's word.
 */
import type { Finger, FingeringLine, Joint } from "../../shared/fingering/model.ts";
import { type BarePlacing, Evaluator, keepsPlacings } from "./evaluator.ts";

/** A placing as a stop on the way through the line. */
interface Stop {
  readonly placing: BarePlacing;
  readonly milli: number;
  readonly onward: Way[];
}

interface Way {
  readonly to: Stop;
  readonly joint: Joint;
  readonly milli: number;
}

/** What was found by trying everything. */
export interface Exhausted {
  /** How many complete fingerings there are. */
  readonly count: number;
  /** The least total, in thousandths; Infinity when there is no fingering. */
  readonly totalMilli: number;
  /** All that cost the least. */
  readonly best: readonly (readonly BarePlacing[])[];
}

/** Called with each complete fingering. The array is used again: copy what must last. */
export type Visit = (placings: readonly BarePlacing[], totalMilli: number) => void;

/** All placings that begin at one event, whatever they cost. */
export function placingsFrom(
  line: FingeringLine,
  first: number,
  evaluator = new Evaluator(line),
): BarePlacing[] {
  const found: BarePlacing[] = [];
  // A placing has at most four notes, so it ends within four events.
  for (let last = first; last < Math.min(first + 4, line.events.length); last++) {
    const strings = line.events.slice(first, last + 1).map((event) => event.strings);
    const downwards = strings.flat().sort((a, b) => b - a);
    for (const digits of handsFor(downwards.length)) {
      const fingers = strings.map((own) => own.map((string) => digits[downwards.indexOf(string)]!));
      const placing: BarePlacing = { first, last, joint: "start", fingers };
      if (evaluator.placingFaults(placing).length === 0) found.push(placing);
    }
  }
  return found;
}

/** Every choice of `count` fingers, the thumb's side first. */
function handsFor(count: number): Finger[][] {
  const hands: Finger[][] = [];
  for (let mask = 1; mask < 16; mask++) {
    const hand = ([1, 2, 3, 4] as const).filter((finger) => (mask >> (finger - 1)) & 1);
    if (hand.length === count) hands.push(hand);
  }
  return hands;
}

/** The stops that begin the line, each with all ways on to its end. */
function stopsOf(line: FingeringLine): Stop[] {
  const evaluator = new Evaluator(line);
  const stops: Stop[][] = line.events.map((_, first) =>
    placingsFrom(line, first, evaluator).map((placing) => ({
      placing,
      milli: evaluator.placing(placing),
      onward: [],
    })),
  );
  for (const stop of stops.flat()) {
    const { last } = stop.placing;
    for (const next of [...stops[last]!, ...(stops[last + 1] ?? [])]) {
      for (const joint of ["overlap", "cross", "separate"] as const) {
        const to = { ...next.placing, joint };
        if (evaluator.jointFaults(stop.placing, to).length > 0) continue;
        const milli = evaluator.joint(stop.placing, to);
        stop.onward.push({ to: { ...next, placing: to }, joint, milli });
      }
    }
  }
  return stops[0] ?? [];
}

/** Walks through every complete fingering that keeps the line's locks. */
export function visitAll(line: FingeringLine, visit: Visit): void {
  const end = line.events.length - 1;
  const locked = (line.locks?.placings.length ?? 0) > 0;
  const chain: BarePlacing[] = [];
  const go = (stop: Stop, before: number): void => {
    const soFar = before + stop.milli;
    chain.push(stop.placing);
    if (stop.placing.last === end && !(locked && !keepsPlacings(line, chain))) visit(chain, soFar);
    for (const { to, milli } of stop.onward) go(to, soFar + milli);
    chain.pop();
  };
  for (const stop of stopsOf(line)) go(stop, 0);
}

/** Tries everything. */
export function exhaust(line: FingeringLine): Exhausted {
  let count = 0;
  let totalMilli = Number.POSITIVE_INFINITY;
  let best: BarePlacing[][] = [];
  visitAll(line, (placings, milli) => {
    count += 1;
    if (milli > totalMilli) return;
    if (milli < totalMilli) best = [];
    totalMilli = milli;
    best.push([...placings]);
  });
  return { count, totalMilli, best };
}

/** The digits of every event, the pivot of an overlap once. */
export function digitsOf(placings: readonly BarePlacing[]): (readonly (Finger | undefined)[])[] {
  const digits: (readonly (Finger | undefined)[])[] = [];
  for (const { first, fingers } of placings) {
    fingers.forEach((own, k) => {
      digits[first + k] = own;
    });
  }
  return digits;
}

/** The order among fingerings of equal cost: fewer placings, longer earlier ones, then the smaller digits. */
export function comparePreference(a: readonly BarePlacing[], b: readonly BarePlacing[]): number {
  if (a.length !== b.length) return a.length - b.length;
  const lengths = (placings: readonly BarePlacing[]) => placings.map(({ first, last }) => last - first + 1);
  const digits = (placings: readonly BarePlacing[]) => digitsOf(placings).flatMap((own) => [...own]);
  return -compareLists(lengths(a), lengths(b)) || compareLists(digits(a) as number[], digits(b) as number[]);
}

function compareLists(a: readonly number[], b: readonly number[]): number {
  const at = a.findIndex((value, i) => value !== b[i]);
  return at < 0 ? 0 : a[at]! - b[at]!;
}

/** A fingering in one line of text, for sets and for messages: `4 3 2 1 x 3 2 1 o 1+3`. */
export function spell(placings: readonly BarePlacing[]): string {
  const signs = { start: "", separate: " | ", overlap: " o ", cross: " x " };
  return placings
    .map(({ joint, fingers }) => signs[joint] + fingers.map((own) => own.join("+")).join(" "))
    .join("");
}
