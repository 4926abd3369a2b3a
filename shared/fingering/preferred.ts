import { fingersAt } from "./choices.ts";
import type { LineCosts, PlacingChoice } from "./costs.ts";
import type { Finger } from "./model.ts";

/** A placing on the way through the line, with what the best way on from it comes to. */
export interface Stop {
  readonly choice: PlacingChoice;
}

/** A step to the next placing that is part of a cheapest chain with the fewest placings. */
export interface Step<S extends Stop> {
  readonly to: S;
}

/**
 * Picks one of the cheapest chains: longer earlier placings first, then the smaller digits.
 *
 * Every stop lies at one place in the chain only, since the number of placings still to come is settled. So one walk
 * forward keeps, place by place, the stops with the longest placings, and a second one, event by event, those with
 * the smallest digits; no two chains are ever compared.
 *
 * @param starts all stops that can begin a cheapest chain with the fewest placings; at least one.
 * @param onward all steps from a stop that keep to such a chain; none at the end of the line.
 * @returns the steps of the chain chosen, after its first stop.
 * Time O(n), memory O(n).
 */
export function preferredChain<S extends Stop, T extends Step<S>>(
  costs: LineCosts,
  starts: readonly S[],
  onward: (from: S) => readonly T[],
): { first: S; steps: T[] } {
  const steps = longest(starts, onward);
  let here = starts.filter((stop) => steps.has(stop));
  /** How each stop was come to; of equal ways the first. */
  const cameBy = new Map<S, { from: S; step: T } | undefined>(here.map((stop) => [stop, undefined]));
  for (let event = 0; ; event += 1) {
    here = smallest(costs, here, event);
    if (event === costs.eventCount - 1) break;
    const next = here.filter((stop) => stop.choice.last > event);
    for (const from of here) {
      if (from.choice.last > event) continue;
      for (const step of steps.get(from)!) {
        if (cameBy.has(step.to)) continue;
        cameBy.set(step.to, { from, step });
        next.push(step.to);
      }
    }
    here = next;
  }
  const chain: T[] = [];
  let first = here[0]!;
  for (let by = cameBy.get(first); by; by = cameBy.get(first)) {
    chain.push(by.step);
    first = by.from;
  }
  return { first, steps: chain.reverse() };
}

/** The steps of all chains whose placings are the longest, the earlier ones counting more. Keys: stops on them. */
function longest<S extends Stop, T extends Step<S>>(
  starts: readonly S[],
  onward: (from: S) => readonly T[],
): Map<S, T[]> {
  const places: Map<S, readonly T[]>[] = [];
  for (let stops = keepLongest(starts); stops.length > 0; ) {
    const place = new Map(stops.map((stop) => [stop, onward(stop)]));
    places.push(place);
    stops = keepLongest(new Set([...place.values()].flat().map((step) => step.to)));
  }
  // Going back, what leads nowhere falls away.
  const kept = new Map<S, T[]>();
  for (const [i, place] of [...places.entries()].reverse()) {
    for (const [stop, all] of place) {
      const steps = all.filter((step) => kept.has(step.to));
      if (steps.length > 0 || i === places.length - 1) kept.set(stop, steps);
    }
  }
  return kept;
}

function keepLongest<S extends Stop>(stops: Iterable<S>): S[] {
  const all = [...stops];
  const most = all.reduce((length, stop) => Math.max(length, lengthOf(stop)), 0);
  return all.filter((stop) => lengthOf(stop) === most);
}

function lengthOf({ choice }: Stop): number {
  return choice.last - choice.first;
}

/** The stops whose fingers on the event are the smallest, lowest string first. */
function smallest<S extends Stop>(costs: LineCosts, stops: readonly S[], event: number): S[] {
  let kept: S[] = [];
  let least: readonly Finger[] | undefined;
  for (const stop of stops) {
    const digits = fingersAt(costs, stop.choice, event);
    const difference = least ? compare(digits, least) : -1;
    if (difference > 0) continue;
    if (difference < 0) kept = [];
    least = digits;
    kept.push(stop);
  }
  return kept;
}

function compare(a: readonly Finger[], b: readonly Finger[]): number {
  const at = a.findIndex((digit, i) => digit !== b[i]);
  return at < 0 ? 0 : a[at]! - b[at]!;
}
