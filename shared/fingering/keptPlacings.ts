import type { PlacingChoice } from "./costs.ts";
import type { LockCheck } from "./locks.ts";

/** The placings that a fingering can have that breaks as few decisions as any does. */
export interface KeptPlacings {
  /** choices[i]: those that begin at event i; where there would be none, one of the others, so that none is empty. */
  readonly choices: readonly (readonly PlacingChoice[])[];
  /** No fingering breaks fewer decisions. */
  readonly leastBroken: number;
}

/**
 * Leaves out the placings with which more decisions are broken than have to be. How many have to be is reckoned as if any
 * two placings could share a note: at times fewer than can be, never more.
 *
 * @param all all[i]: the placings that begin at event i; at least one of them holds that event only.
 */
export function keptPlacings(all: readonly (readonly PlacingChoice[])[], locks: LockCheck): KeptPlacings {
  const broken = all.map((choices) => choices.map((choice) => locks.brokenBy(choice)));
  const { after, leastBroken } = leastAfter(all, broken, locks);
  // Before a placing that begins at an event of its own, and before one that shares its first note.
  const before = new Float64Array(all.length + 1).fill(Number.POSITIVE_INFINITY);
  const beforeShared = new Float64Array(all.length + 1).fill(Number.POSITIVE_INFINITY);
  before[0] = 0;
  const choices = all.map((beginning, first) => {
    const kept = beginning.filter(({ last }, b) => {
      const sharing = last > first ? beforeShared[first]! : Number.POSITIVE_INFINITY;
      const through = Math.min(before[first]!, sharing) + broken[first]![b]!;
      before[last + 1] = Math.min(before[last + 1]!, through + locks.brokenByCutAfter(last));
      if (last > first) beforeShared[last] = Math.min(beforeShared[last]!, through);
      return through + after[first]![b]! <= leastBroken;
    });
    return kept.length === 0 ? beginning.slice(0, 1) : kept;
  });
  return { choices, leastBroken };
}

/** How many decisions are broken at least after each placing, and in the whole line. */
function leastAfter(
  all: readonly (readonly PlacingChoice[])[],
  broken: readonly (readonly number[])[],
  locks: LockCheck,
): { readonly after: readonly (readonly number[])[]; readonly leastBroken: number } {
  const count = all.length;
  const after: number[][] = [];
  const from = new Float64Array(count + 1).fill(Number.POSITIVE_INFINITY);
  const fromShared = new Float64Array(count + 1).fill(Number.POSITIVE_INFINITY);
  from[count] = 0;
  for (let first = count - 1; first >= 0; first -= 1) {
    after[first] = all[first]!.map(({ last }, b) => {
      const cut = last === count - 1 ? 0 : locks.brokenByCutAfter(last);
      const sharing = last > first ? fromShared[last]! : Number.POSITIVE_INFINITY;
      const least = Math.min(from[last + 1]! + cut, sharing);
      const whole = broken[first]![b]! + least;
      from[first] = Math.min(from[first]!, whole);
      if (last > first) fromShared[first] = Math.min(fromShared[first]!, whole);
      return least;
    });
  }
  return { after, leastBroken: from[0]! };
}
