import type { WrittenHand } from "../../fingering/written.ts";
import type { EventNote } from "../../score/handLines.ts";
import type { Note } from "../../score/model.ts";
import type { RuleInput } from "../define.ts";

/** A note that a hand plucks. */
export interface PluckedNote {
  readonly hand: WrittenHand;
  readonly event: number;
  readonly entry: EventNote;
}

/** The plucked note that stands first in the text; undefined when nothing is plucked. */
export function firstPlucked({ hands }: RuleInput): PluckedNote | undefined {
  const firsts = hands.flatMap((hand) => {
    const entry = hand.line.events[0]?.notes[0];
    return entry ? [{ hand, event: 0, entry }] : [];
  });
  const [first, ...others] = firsts;
  return others.reduce(
    (a, b) => (b.entry.note.site.span.start < a!.entry.note.site.span.start ? b : a),
    first,
  );
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
