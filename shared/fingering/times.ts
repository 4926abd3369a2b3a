import type { FingeringEvent } from "./model.ts";
import type { Weights } from "./weights.ts";

/** The time from each event to the next, in microseconds; one entry fewer than there are events. */
export interface Gaps {
  /** As it is. */
  readonly raw: readonly number[];
  /** As it weighs: a time that is not long among its neighbours counts as `evenMicros` at most. */
  readonly felt: readonly number[];
}

const neighboursEachSide = 4;

/**
 * The times that joints and waiting are weighed by. Whether a note is long depends on its surroundings: among equal
 * notes none is, however slow.
 */
export function gapsOf(events: readonly FingeringEvent[], weights: Weights): Gaps {
  const raw: number[] = [];
  for (let i = 0; i + 1 < events.length; i += 1) {
    raw.push(Math.max(0, events[i + 1]!.atMicros - events[i]!.atMicros));
  }
  if (events.length <= 2) return { raw, felt: raw };
  const felt = raw.map((gap, i) => {
    if (gap <= weights.evenMicros || events[i]!.held) return gap;
    const around = [
      ...raw.slice(Math.max(0, i - neighboursEachSide), i),
      ...raw.slice(i + 1, i + 1 + neighboursEachSide),
    ];
    const long = around.length > 0 && gap >= weights.longRatio * median(around);
    return long ? gap : weights.evenMicros;
  });
  return { raw, felt };
}

function median(values: number[]): number {
  values.sort((a, b) => a - b);
  const middle = values.length >> 1;
  return values.length % 2 === 1 ? values[middle]! : (values[middle - 1]! + values[middle]!) / 2;
}
