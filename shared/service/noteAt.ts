import type { WrittenHand } from "../fingering/written.ts";
import { handOfNote } from "../score/hands.ts";
import type { Measure, Note, Part } from "../score/model.ts";
import type { Analysis } from "./analyse.ts";

/** A note of the harp and where it went. */
export interface HarpNote {
  readonly note: Note;
  readonly part: Part;
  readonly hand: "right" | "left";
  /** Its place among what the hand plucks; undefined for a tie's continuation, a cue or an unprinted note. */
  readonly place:
    | { readonly written: WrittenHand; readonly event: number; readonly stringAt: number }
    | undefined;
}

/** The harp's note whose `<note>` element holds this offset. */
export function noteAt(analysis: Analysis, offset: number): HarpNote | undefined {
  const { harp } = analysis;
  for (const part of harp?.parts ?? []) {
    const note = lastNotAfter(part.notes, (candidate) => candidate.site.span.start, offset);
    if (!note || offset > note.site.span.end) continue;
    const hand = handOfNote(harp!, part, note);
    if (!hand) continue;
    const written = analysis.hands.find((candidate) => candidate.hand === hand);
    const found = written?.line.places.get(note);
    return { note, part, hand, place: written && found && { written, ...found } };
  }
  return undefined;
}

/** The harp's measure that holds this offset. */
export function measureAt(analysis: Analysis, offset: number): Measure | undefined {
  for (const part of analysis.harp?.parts ?? []) {
    const measure = lastNotAfter(part.measures, (candidate) => candidate.span.start, offset);
    if (measure && offset <= measure.span.end) return measure;
  }
  return undefined;
}

/** The last of items in the order of the text that does not start after the offset. */
export function lastNotAfter<T>(
  items: readonly T[],
  start: (item: T) => number,
  offset: number,
): T | undefined {
  let low = 0;
  let high = items.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (start(items[middle]!) <= offset) low = middle + 1;
    else high = middle;
  }
  return items[low - 1];
}
