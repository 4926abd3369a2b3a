import type { Span } from "../text/span.ts";
import type { Analysis } from "./analyse.ts";

/** The elements that an editor may fold: parts, measures and notes, in the order of the text. */
export function foldingSpans({ score }: Analysis): Span[] {
  const spans = score.parts.flatMap((part) => [
    part.span,
    ...part.measures.map((measure) => measure.span),
    ...part.notes.map((note) => note.site.span),
  ]);
  return spans.sort((a, b) => a.start - b.start || b.end - a.end);
}
