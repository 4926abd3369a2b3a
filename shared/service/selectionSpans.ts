import type { Note, Part } from "../score/model.ts";
import { contains, type Span } from "../text/span.ts";
import type { Analysis } from "./analyse.ts";
import { lastNotAfter } from "./noteAt.ts";

/**
 * What a selection at a place grows to, smallest first, each larger than the one before and holding it: finger,
 * `<fingering>`, `<technical>`, `<notations>`, note, measure, part, the whole text. Ends with the whole text.
 */
export function selectionSpans({ text, score }: Analysis, offset: number): Span[] {
  const place = { start: offset, end: offset };
  const candidates: Span[] = [{ start: 0, end: text.length }];
  for (const part of score.parts) candidates.push(...spansIn(part, offset));
  const holding = candidates.filter((candidate) => contains(candidate, place));
  holding.sort((a, b) => lengthOf(a) - lengthOf(b));
  const growing: Span[] = [];
  for (const next of holding) {
    const before = growing.at(-1);
    if (!before || (contains(next, before) && lengthOf(next) > lengthOf(before))) growing.push(next);
  }
  return growing;
}

function spansIn(part: Part, offset: number): Span[] {
  const note = lastNotAfter(part.notes, (candidate) => candidate.site.span.start, offset);
  const measure = lastNotAfter(part.measures, (candidate) => candidate.span.start, offset);
  return [part.span, ...(measure ? [measure.span] : []), ...(note ? noteSpans(note) : [])];
}

function noteSpans({ site }: Note): Span[] {
  return [
    site.span,
    ...site.notations.flatMap((notations) => [
      notations.span,
      ...notations.technical.flatMap((technical) => [
        technical.span,
        ...technical.fingerings.flatMap((fingering) => [fingering.span, fingering.content]),
      ]),
    ]),
  ];
}

function lengthOf({ start, end }: Span): number {
  return end - start;
}
