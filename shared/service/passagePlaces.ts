import type { Span } from "../text/span.ts";
import type { Analysis } from "./analyse.ts";
import { noteAt } from "./noteAt.ts";
import { passagesOf } from "./passagesOf.ts";

/** One place of a passage, told by the note that stands there for the one that was asked about. */
export interface PassagePlace {
  /** The note's start tag. */
  readonly span: Span;
  /** Where the passage stands first. */
  readonly isFirst: boolean;
  /** The place that was asked about. */
  readonly isHere: boolean;
}

/**
 * All places of the passages that hold the note at an offset, in the order of the text: in each the note that stands
 * for it, or the passage's first where it has none. None when nothing there comes back.
 */
export function passagePlaces(analysis: Analysis, offset: number): PassagePlace[] {
  const place = noteAt(analysis, offset)?.place;
  if (!place) return [];
  const { event, stringAt } = place;
  const places = new Map<number, PassagePlace>();
  for (const { occurrences, alignment } of passagesOf(analysis).classes) {
    const here = occurrences.findIndex(
      ({ hand, first, last }) => hand === place.written.hand && first <= event && event <= last,
    );
    if (here < 0) continue;
    const column = alignment[here]!.indexOf(event);
    occurrences.forEach(({ hand, first }, k) => {
      const written = analysis.hands.find((candidate) => candidate.hand === hand)!;
      const { notes } = written.line.events[alignment[k]![column] ?? first]!;
      const span = (notes[stringAt] ?? notes[0]!).note.site.startTag;
      const known = places.get(span.start);
      places.set(span.start, {
        span,
        isFirst: known?.isFirst === true || k === 0,
        isHere: known?.isHere === true || k === here,
      });
    });
  }
  return [...places.values()].sort((a, b) => a.span.start - b.span.start);
}
