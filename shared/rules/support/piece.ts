import type { WrittenHand } from "../../fingering/written.ts";
import type { EventNote } from "../../score/handLines.ts";
import type { Note } from "../../score/model.ts";
import { compare } from "../../score/rational.ts";
import type { RuleInput } from "../define.ts";

/** A note that a hand plucks. */
export interface PluckedNote {
  readonly hand: WrittenHand;
  readonly event: number;
  readonly entry: EventNote;
}

/**
 * The note that is plucked first, of two at once the right hand's; undefined when nothing is plucked. Which of them
 * stands first in the text is left to the program that wrote it.
 */
export function firstPlucked({ hands }: RuleInput): PluckedNote | undefined {
  let first: PluckedNote | undefined;
  for (const hand of hands) {
    const [event] = hand.line.events;
    const before = first?.hand.line.events[0]?.onset;
    if (event && (!before || compare(event.onset, before) < 0))
      first = { hand, event: 0, entry: event.notes[0]! };
  }
  return first;
}

/** The hand and event of a note; undefined for one that is not plucked. */
export function placeInHands(
  { hands }: RuleInput,
  note: Note,
): { hand: WrittenHand; event: number } | undefined {
  for (const hand of hands) {
    const place = hand.line.places.get(note);
    if (place) return { hand, event: place.event };
  }
  return undefined;
}
