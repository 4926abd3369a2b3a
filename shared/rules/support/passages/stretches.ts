import { fewestEvents } from "../../../passages/candidates.ts";
import type { PassageClass } from "../../../passages/model.ts";
import type { Disagreement } from "./disagreements.ts";

/**
 * True when what differs is decided by other music: the first or the last note of a stretch that comes back, which
 * belongs to what stands before or after it as well, or a stretch between changes that is too short to be a return.
 */
export function isAtEdge({ passage, here, there, regions }: Disagreement): boolean {
  const changed = new Set([here, there].flatMap(({ index }) => changedEvents(passage, index)));
  return regions.every(({ from, to }) => {
    let [first, last] = [from, to];
    while (first > 0 && !changed.has(first - 1)) first -= 1;
    while (last + 1 < passage.alignment[0]!.length && !changed.has(last + 1)) last += 1;
    const isEnd = from === to && (from === first || from === last);
    return isEnd || last - first + 1 < Math.min(fewestEvents, passage.alignment[0]!.length);
  });
}

/** Events of the passage, from 0, that are not the same in this place, and those after an event that was added. */
function changedEvents({ occurrences, alignment }: PassageClass, index: number): number[] {
  const start = occurrences[0]!.first;
  return occurrences[index]!.changes.map((change) =>
    change.kind === "added"
      ? alignment[index]!.findIndex((event) => event !== undefined && event > change.event)
      : change.model - start,
  );
}
