import type { WrittenHand } from "../../../fingering/written.ts";
import type { RuleInput } from "../../define.ts";
import type { Disagreement } from "./disagreements.ts";
import type { PrintedPlace } from "./printedPlaces.ts";
import { eventsOf } from "./regions.ts";

/** A hand that moves a lever is busy for so many events before the note that needs it. An estimate, no source. */
const eventsForLever = 4;

const known = new WeakMap<readonly WrittenHand[], readonly number[]>();

/**
 * True when a lever has to be moved around what differs in one of the places and in the other not: the hand that moves
 * it may need other fingers. Only on a lever harp; pedals leave the hands alone.
 */
export function isBusyWithLevers(
  { hands, instrument }: RuleInput,
  { passage, here, there, regions }: Disagreement,
): boolean {
  if (instrument?.harp.mechanism !== "lever") return false;
  const changes = leverChanges(hands);
  const busy = (place: PrintedPlace): boolean => {
    const { events } = place.hand.line;
    return regions.some((region) => {
      const own = eventsOf(passage, place.index, region);
      const from = events[Math.max(0, Math.min(...own) - eventsForLever)]!.atMicros;
      const to = events[Math.max(...own)]!.atMicros;
      return changes.some((at) => at > from && at <= to);
    });
  };
  return busy(here) !== busy(there);
}

/** When a string sounds with another alteration than before: its lever has been moved by then. In microseconds. */
export function leverChanges(hands: readonly WrittenHand[]): readonly number[] {
  let changes = known.get(hands);
  if (!changes) {
    const plucked = hands
      .flatMap(({ line }) => line.events)
      .flatMap(({ notes, atMicros }) =>
        notes.map(({ string, note }) => ({ string, alter: note.pitch.alter, atMicros })),
      )
      .sort((a, b) => a.atMicros - b.atMicros);
    const before = new Map<number, number>();
    const found: number[] = [];
    for (const { string, alter, atMicros } of plucked) {
      const known = before.get(string);
      if (known !== undefined && known !== alter) found.push(atMicros);
      before.set(string, alter);
    }
    changes = found;
    known.set(hands, changes);
  }
  return changes;
}
