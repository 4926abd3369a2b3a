import { SaxesParser } from "saxes";
import type { Span } from "../text/span.ts";

/** Where a measure stands in a text. */
export interface MeasurePlace {
  /** As printed. */
  readonly number: string;
  /** The whole element. */
  readonly span: Span;
  /** Between its tags. */
  readonly content: Span;
}

/** The measures of a well-formed text, or where it is not well-formed. */
export type MeasurePlaces =
  | { readonly measures: readonly MeasurePlace[]; readonly malformedAt: undefined }
  | { readonly measures: undefined; readonly malformedAt: number };

/** Finds the measures of a score and checks that the whole text is well-formed. Time O(text.length). */
export function measurePlaces(text: string): MeasurePlaces {
  const measures: MeasurePlace[] = [];
  const parser = new SaxesParser({ position: true, xmlns: false });
  let open: { number: string; start: number; contentStart: number } | undefined;
  parser.on("error", () => {
    throw new Malformed(Math.min(parser.position, text.length));
  });
  parser.on("opentag", (tag) => {
    if (tag.name !== "measure" || open) return;
    const end = parser.position;
    open = {
      number: String(tag.attributes.number ?? ""),
      start: text.lastIndexOf("<", end - 1),
      contentStart: end,
    };
  });
  parser.on("closetag", (tag) => {
    if (tag.name !== "measure" || !open) return;
    const end = parser.position;
    const contentEnd = tag.isSelfClosing ? end : text.lastIndexOf("<", end - 1);
    measures.push({
      number: open.number,
      span: { start: open.start, end },
      content: { start: open.contentStart, end: contentEnd },
    });
    open = undefined;
  });
  try {
    parser.write(text).close();
  } catch (error) {
    if (error instanceof Malformed) return { measures: undefined, malformedAt: error.at };
    throw error;
  }
  return { measures, malformedAt: undefined };
}

class Malformed extends Error {
  readonly at: number;
  constructor(at: number) {
    super("not well-formed");
    this.at = at;
  }
}
