import { firstWhere } from "../text/firstWhere.ts";
import type { LineEvent } from "./handLines.ts";
import type { Score } from "./model.ts";
import type { PlayedOrder } from "./playedOrder.ts";
import { add, type Rational, zero } from "./rational.ts";
import type { Timeline } from "./timeline.ts";

/** In one playing, the event `to` follows the event `from`, though another stands between or before. */
export interface LineJump {
  readonly from: number;
  readonly to: number;
  /** From the one to the other as they are played, in microseconds. */
  readonly gapMicros: number;
}

/** What repeats, endings and other jumps mean for one hand's line. */
export interface LineJumps {
  readonly jumps: readonly LineJump[];
  /** Events before which the music jumps away or arrives. */
  readonly cuts: ReadonlySet<number>;
}

/** Finds the events on both sides of every jump. A hand that rests in the measure on either side has no joint there. */
export function lineJumps(
  score: Score,
  order: PlayedOrder,
  events: readonly Pick<LineEvent, "atMicros" | "notes">[],
  timeline: Timeline,
): LineJumps {
  const jumps: LineJump[] = [];
  const cuts = new Set<number>();
  if (order.jumps.length === 0) return { jumps, cuts };
  const measureOf = (event: number): number => events[event]!.notes[0]!.note.measure.index;
  const firstFrom = (measure: number): number =>
    firstWhere(events.length, (event) => measureOf(event) >= measure);
  const endOf = (measure: number): Rational => {
    const next = score.measureStarts[measure + 1];
    if (next) return next;
    const length = score.parts[0]?.measures[measure]?.length ?? zero;
    return add(score.measureStarts[measure]!, length);
  };
  for (const { from, to } of order.jumps) {
    const after = firstFrom(from + 1);
    const start = firstFrom(to);
    for (const event of [after, start]) if (event > 0 && event < events.length) cuts.add(event);
    const last = after - 1;
    if (last < 0 || start >= events.length || measureOf(last) !== from || measureOf(start) !== to) continue;
    const before = timeline.micros(endOf(from)) - events[last]!.atMicros;
    const wait = events[start]!.atMicros - timeline.micros(score.measureStarts[to]!);
    jumps.push({ from: last, to: start, gapMicros: Math.max(0, before + wait) });
  }
  return { jumps, cuts };
}
