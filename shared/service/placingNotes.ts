import type { Note } from "../score/model.ts";
import type { Span } from "../text/span.ts";
import type { Analysis } from "./analyse.ts";
import { noteAt } from "./noteAt.ts";
import { proposal } from "./proposal.ts";

/** A note of a placing, to be marked in the text. */
export interface PlacingNote {
  /** Its `<fingering>` where one is printed, else its start tag. */
  readonly span: Span;
  /** The element. */
  readonly note: Span;
}

/**
 * The notes of the placing that holds the note at a place, in the order of playing: of the printed placing, else of
 * the one that completing the print gives. Both placings of a note that two share. None where no note is plucked.
 */
export function placingNotes(analysis: Analysis, offset: number): PlacingNote[] {
  const place = noteAt(analysis, offset)?.place;
  if (!place) return [];
  const { written, event } = place;
  const holds = (range: { readonly first: number; readonly last: number }): boolean =>
    range.first <= event && event <= range.last;
  const printed = written.placings.filter(holds);
  const placings = printed.length > 0 ? printed : proposal(analysis, written).placings.filter(holds);
  const events = new Set<number>();
  for (const { first, last } of placings) for (let at = first; at <= last; at += 1) events.add(at);
  return [...events]
    .sort((a, b) => a - b)
    .flatMap((at) => written.line.events[at]!.notes)
    .flatMap(({ note, doubles }) => [note, ...doubles])
    .map((note) => ({ span: markOf(note), note: note.site.span }));
}

function markOf(note: Note): Span {
  const fingering = note.fingerings.find(({ writtenOn }) => writtenOn === undefined);
  return fingering?.span ?? note.site.startTag;
}
