/**
 * What two hands cost each other, added up from scratch: written from the rules, with numbers of its own, apart from
 * the search.
 */
import type { FingeringLine } from "../../shared/fingering/model.ts";
import { visitAll } from "./enumerate.ts";
import type { BarePlacing } from "./evaluator.ts";

interface Landing {
  readonly hand: "right" | "left";
  readonly at: number;
  readonly strings: readonly number[];
  readonly weight: number;
  readonly placing: BarePlacing;
  readonly line: FingeringLine;
}

/** In thousandths: looks at once, strings that both want, hands that work through each other. */
export function disturbance(
  right: FingeringLine,
  rightPlacings: readonly BarePlacing[],
  left: FingeringLine,
  leftPlacings: readonly BarePlacing[],
): number {
  const landings = [...landingsOf(right, rightPlacings), ...landingsOf(left, leftPlacings)].sort(
    (a, b) => a.at - b.at || (a.hand === b.hand ? 0 : a.hand === "right" ? -1 : 1),
  );
  const latest: { right?: Landing; left?: Landing } = {};
  let sum = 0;
  for (const landing of landings) {
    const other = latest[landing.hand === "right" ? "left" : "right"];
    if (other) sum += looks(landing, other) + strings(landing, other) + through(landing, other);
    latest[landing.hand] = landing;
  }
  return sum;
}

function landingsOf(line: FingeringLine, placings: readonly BarePlacing[]): Landing[] {
  return placings.map((placing) => {
    const here = line.events[placing.first]!;
    return {
      hand: line.hand,
      at: here.atMicros,
      strings: here.strings,
      weight: lookWeight(line, placing),
      placing,
      line,
    };
  });
}

function lookWeight(line: FingeringLine, { first, joint }: BarePlacing): number {
  if (joint === "start" || joint === "overlap") return 0;
  const from = line.events[first - 1]!.strings;
  const to = line.events[first]!.strings;
  const distances = from.flatMap((a) => to.map((b) => Math.abs(a - b)));
  if (joint === "cross") return Math.min(...distances) > 1 ? 500 : 0;
  if (Math.min(...distances) > 7) return 2000;
  return to.every((string) => from.includes(string)) ? 500 : 1000;
}

function looks(a: Landing, b: Landing): number {
  if (Math.abs(a.at - b.at) >= 400_000) return 0;
  const all = [...a.strings, ...b.strings];
  if (Math.max(...all) - Math.min(...all) <= 9) return 0;
  const apart = Math.max(
    Math.min(...a.strings) - Math.max(...b.strings),
    Math.min(...b.strings) - Math.max(...a.strings),
  );
  return apart > 5 ? Math.min(a.weight, b.weight) : 0;
}

/** Every string with the time from the placing to its own note, both included. */
function held({ line, placing }: Landing): { string: number; from: number; to: number }[] {
  const from = line.events[placing.first]!.atMicros;
  return line.events
    .slice(placing.first, placing.last + 1)
    .flatMap(({ strings, atMicros }) => strings.map((string) => ({ string, from, to: atMicros })));
}

function strings(a: Landing, b: Landing): number {
  let wanted = 0;
  for (const x of held(a)) {
    for (const y of held(b)) {
      const meet = Math.max(x.from, y.from) <= Math.min(x.to, y.to);
      if (x.string === y.string && x.to !== y.to && meet) wanted += 1;
    }
  }
  return 50_000 * wanted;
}

function through(a: Landing, b: Landing): number {
  const [right, left] = a.hand === "right" ? [held(a), held(b)] : [held(b), held(a)];
  const top = (all: typeof right): number => Math.max(...all.map((one) => one.string));
  const end = (all: typeof right): number => Math.max(...all.map((one) => one.to));
  const meet = Math.max(right[0]!.from, left[0]!.from) <= Math.min(end(right), end(left));
  return meet && top(right) < top(left) - 2 ? 500 : 0;
}

/** A complete fingering of one hand. */
export interface Whole {
  readonly placings: readonly BarePlacing[];
  readonly totalMilli: number;
}

/** Every complete fingering, cheapest first. */
export function allByCost(line: FingeringLine): Whole[] {
  const all: Whole[] = [];
  visitAll(line, (placings, totalMilli) => {
    all.push({ placings: [...placings], totalMilli });
  });
  return all.sort((a, b) => a.totalMilli - b.totalMilli);
}

/** The least cost of two hands together: every pair, but for those that are too dear before they disturb each other. */
export function cheapestPair(right: FingeringLine, left: FingeringLine): number {
  const rights = allByCost(right);
  const lefts = allByCost(left);
  let least = Number.POSITIVE_INFINITY;
  for (const a of rights) {
    if (a.totalMilli + lefts[0]!.totalMilli >= least) break;
    for (const b of lefts) {
      if (a.totalMilli + b.totalMilli >= least) break;
      least = Math.min(least, a.totalMilli + b.totalMilli + disturbance(right, a.placings, left, b.placings));
    }
  }
  return least;
}
