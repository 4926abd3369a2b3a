import { firstWhere } from "../text/firstWhere.ts";
import { Ranges } from "../text/ranges.ts";
import type { FingeringLine, HandName, Locks, Solution } from "./model.ts";
import type { SearchTables } from "./searchTables.ts";
import { solve } from "./solve.ts";
import { solveTogether } from "./solveTogether.ts";
import type { Weights } from "./weights.ts";

/** A stretch of one hand's events, both ends included. */
export interface Occurrence {
  readonly hand: HandName;
  readonly first: number;
  readonly last: number;
}

/** Two hands' lines; either may be missing. */
export interface HandLinesToSolve {
  readonly right?: FingeringLine;
  readonly left?: FingeringLine;
}

/** The fingerings of two hands; either may be missing. */
export interface BothSolutions {
  readonly right?: Solution;
  readonly left?: Solution;
}

/**
 * The best fingering of the hands that there are, together; joints over jumps are not weighed.
 *
 * @param known what earlier searches of the same music with other decisions found out.
 */
export function solveWithoutJumps(
  { right, left }: HandLinesToSolve,
  weights: Weights,
  known?: SearchTables,
): BothSolutions {
  if (right && left) {
    const both = solveTogether(right, left, weights, known);
    return { right: both.right, left: both.left };
  }
  const alone = (line: FingeringLine): Solution => known?.solve(line) ?? solve(line, weights);
  return { right: right && alone(right), left: left && alone(left) };
}

/** Both hands' costs together, in thousandths. */
export function costOf({ right, left }: BothSolutions): number {
  return (right?.totalMilli ?? 0) + (left?.totalMilli ?? 0);
}

/** From when to when some events of a line and so many on each side sound; without end where the line itself ends. */
export function timesAround(
  line: FingeringLine,
  first: number,
  last: number,
  contextEvents: number,
): { readonly from: number; readonly to: number } {
  return {
    from: line.events[first - contextEvents]?.atMicros ?? Number.NEGATIVE_INFINITY,
    to: line.events[last + contextEvents]?.atMicros ?? Number.POSITIVE_INFINITY,
  };
}

/** The part of a line that sounds between two times, both included, with its locks. */
export function cutOut(
  line: FingeringLine,
  from: number,
  to: number,
): { line: FingeringLine; offset: number } | undefined {
  const { events } = line;
  const offset = firstWhere(events.length, (i) => events[i]!.atMicros >= from);
  const end = firstWhere(events.length, (i) => events[i]!.atMicros > to);
  if (offset >= end) return undefined;
  const { locks } = line;
  return {
    offset,
    line: {
      hand: line.hand,
      events: line.events.slice(offset, end),
      jumps: line.jumps
        ?.filter((jump) => [jump.from, jump.to].every((event) => event >= offset && event < end))
        .map((jump) => ({ ...jump, from: jump.from - offset, to: jump.to - offset })),
      locks: locks && {
        fingers: line.events.slice(offset, end).map((_, i) => locks.fingers[offset + i]),
        placings: placingsByEvent(locks)
          .touching(offset, end - 1)
          .filter(({ first, last }) => first >= offset && last < end)
          .map(({ first, last }) => ({ first: first - offset, last: last - offset })),
        joined: locks.joined?.slice(offset, end),
      },
    },
  };
}

const known = new WeakMap<Locks["placings"], Ranges<Locks["placings"][number]>>();

/** A line is cut into many parts: for each, only the placings near it are looked at. */
function placingsByEvent({ placings }: Locks): Ranges<Locks["placings"][number]> {
  let ranges = known.get(placings);
  if (!ranges) {
    ranges = new Ranges(placings);
    known.set(placings, ranges);
  }
  return ranges;
}
