import type { WrittenHand } from "../../fingering/written.ts";
import { add, compare, type Rational, subtract, toNumber } from "../../score/rational.ts";
import { replaceMicros } from "./times.ts";

/** So many events back a note may have begun that still sounds. */
const eventsBack = 8;

/**
 * How long the hand rests between an event and the next, in microseconds: from the end of its last note. 0 where that
 * leaves no time to place the hand anew.
 */
export function restAfter({ line }: WrittenHand, event: number): number {
  const here = line.events[event]!;
  const next = line.events[event + 1];
  if (!next || next.atMicros - here.atMicros < replaceMicros) return 0;
  if (here.grace || compare(here.onset, next.onset) >= 0) return 0;
  let end: Rational = here.onset;
  // Mostly the last note sounds until the next.
  for (let at = event; at >= Math.max(0, event - eventsBack); at -= 1) {
    const { onset, notes } = line.events[at]!;
    for (const { note, doubles } of notes) {
      for (const { duration, tie } of doubles.length === 0 ? [note] : [note, ...doubles]) {
        if (tie.start || tie.letRing) return 0;
        const ends = add(onset, duration);
        if (compare(ends, next.onset) >= 0) return 0;
        if (compare(ends, end) > 0) end = ends;
      }
    }
  }
  const share = toNumber(subtract(next.onset, end)) / toNumber(subtract(next.onset, here.onset));
  const micros = Math.round(share * (next.atMicros - here.atMicros));
  return micros < replaceMicros ? 0 : micros;
}
