import type { WrittenHand } from "../../fingering/written.ts";
import { add, compare, type Rational, subtract, toNumber } from "../../score/rational.ts";

/** So many events back a note may have begun that still sounds. */
const eventsBack = 8;

/** How long the hand rests between an event and the next, in microseconds: from the end of its last note. */
export function restAfter({ line }: WrittenHand, event: number): number {
  const [here, next] = [line.events[event]!, line.events[event + 1]];
  if (!next) return 0;
  let end: Rational = here.onset;
  for (let at = Math.max(0, event - eventsBack); at <= event; at += 1) {
    const { onset, notes } = line.events[at]!;
    for (const { note, doubles } of notes) {
      for (const { duration, tie } of [note, ...doubles]) {
        if (tie.start || tie.letRing) return 0;
        const ends = add(onset, duration);
        if (compare(ends, end) > 0) end = ends;
      }
    }
  }
  if (here.grace || compare(end, next.onset) >= 0) return 0;
  const share = toNumber(subtract(next.onset, end)) / toNumber(subtract(next.onset, here.onset));
  return Math.round(share * (next.atMicros - here.atMicros));
}
