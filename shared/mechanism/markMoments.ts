import type { HandLine } from "../score/handLines.ts";
import type { Score } from "../score/model.ts";
import { playedOrder } from "../score/playedOrder.ts";
import { firstWhere } from "../text/firstWhere.ts";
import type { MechanismChange } from "./markedChanges.ts";
import { footOf, pedalMicros } from "./pedalFeet.ts";
import type { PlayedEvent } from "./playedNotes.ts";

/** A change and the event before which it is written. */
export interface MarkMoment<Change extends MechanismChange> {
  readonly change: Change;
  readonly before: PlayedEvent;
}

/**
 * Where in print each change is told: a lever at the first event from the moment on at which the hand moves it; a pedal
 * as late as its foot has time for it, so that two feet move at one place where they can. Never across a barline that
 * the music jumps from, as the mark would be read in another playing too.
 *
 * @param played all events of both hands in the order of playing.
 */
export function markMoments<
  Change extends MechanismChange & { readonly mark?: { readonly atMicros: number } },
>(
  changes: readonly Change[],
  played: readonly PlayedEvent[],
  lines: readonly HandLine[],
  score: Score,
): MarkMoment<Change>[] {
  const jumpsFrom = new Set(playedOrder(score).jumps.map(({ from }) => from));
  const busyFrom = { left: Number.POSITIVE_INFINITY, right: Number.POSITIVE_INFINITY };
  const found: MarkMoment<Change>[] = [];
  for (let i = changes.length - 1; i >= 0; i -= 1) {
    const change = changes[i]!;
    const places = placesFor(change, played, lines, jumpsFrom);
    let before = places[places.length - 1]!;
    if (change.string !== undefined) {
      const at = change.atMicros;
      if (at !== undefined) before = places.find(({ atMicros }) => atMicros >= at) ?? before;
    } else {
      const foot = footOf(change.letter);
      const latest = Math.min(change.next.atMicros, busyFrom[foot]) - pedalMicros;
      before = places.findLast(({ atMicros }) => atMicros <= latest) ?? places[0]!;
      busyFrom[foot] = before.atMicros;
    }
    found.push({ change, before });
  }
  return found.reverse();
}

/** The events before which a change may be written, the note that needs it last. */
function placesFor(
  { last, next, mark }: MechanismChange & { readonly mark?: { readonly atMicros: number } },
  played: readonly PlayedEvent[],
  lines: readonly HandLine[],
  jumpsFrom: ReadonlySet<number>,
): PlayedEvent[] {
  const eventOf = ({ hand, event }: PlayedEvent) => lines.find((line) => line.hand === hand)!.events[event]!;
  const measureOf = (one: PlayedEvent): number => eventOf(one).notes[0]!.note.measure.index;
  const after = Math.max(
    last?.atMicros ?? Number.NEGATIVE_INFINITY,
    mark?.atMicros ?? Number.NEGATIVE_INFINITY,
  );
  const end = measureOf(next);
  const places: PlayedEvent[] = [next];
  let measure = end;
  const start = firstWhere(played.length, (k) => played[k]!.atMicros >= next.atMicros) - 1;
  for (let k = start; k >= 0 && played[k]!.atMicros > after; k -= 1) {
    const one = played[k]!;
    const index = measureOf(one);
    const apart = eventOf(next).atMicros - eventOf(one).atMicros;
    if (index > measure || apart !== next.atMicros - one.atMicros) break;
    for (let m = index; m < measure; m += 1) if (jumpsFrom.has(m)) return places;
    measure = index;
    places.unshift(one);
  }
  return places;
}
