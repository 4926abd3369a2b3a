import type { Solution } from "../fingering/model.ts";
import { notePrinted } from "../fingering/write.ts";
import type { WrittenHand } from "../fingering/written.ts";
import { mainFingeringSite, setFingering } from "../musicxml/fingeringEdits.ts";
import type { HarpChoice } from "../score/hands.ts";
import type { BracketEnd, Measure, Score } from "../score/model.ts";
import { type Edit, inOrder } from "../text/edits.ts";
import type { Span } from "../text/span.ts";
import { measureId, noteId } from "./panelIds.ts";

/** What the engraver is given: the harp alone, as MusicXML 4.0 partwise. The user's file is never changed for it. */
export interface PanelEngraving {
  /** parts[p][m]: the whole `<measure>` element m of the harp's part p; one part, or one for each staff. */
  readonly parts: readonly (readonly string[])[];
}

/** What is read for the copy. */
export interface EngravingSource {
  readonly text: string;
  readonly score: Score;
  readonly harp: HarpChoice;
  readonly hands: readonly WrittenHand[];
}

/**
 * A copy of the harp's music for engraving. Every note has an id of `PanelIds`, proposed fingers are written in where
 * none are printed, and placing brackets are left out: the panel draws them over the notes, from first to last
 * notehead.
 *
 * @param solutions a fingering for each hand, in their order; without them only what is printed is engraved.
 */
export function panelEngraving(source: EngravingSource, solutions?: readonly Solution[]): PanelEngraving {
  const { text, score, harp, hands } = source;
  const edits = inOrder([
    ...idEdits(text, harp),
    ...bracketRemovals(hands),
    ...(solutions ? hands.flatMap((hand, i) => proposedFingers(text, hand, solutions[i]!)) : []),
  ]);
  const copy = new Copy(text, edits);
  return {
    parts: harp.parts.map((part, i) =>
      part.measures.map((measure) => {
        const { startTag, content } = measurePieces(text, measure, score.layout);
        const id = i === 0 ? ` id="${measureId(measure.index)}"` : "";
        return `<measure${id}${withoutId(startTag).slice("<measure".length)}${copy.slice(content)}</measure>`;
      }),
    ),
  };
}

/** A note's own id gives way: it may be one of ours, and ids are unique in a document. */
function idEdits(text: string, harp: HarpChoice): Edit[] {
  return harp.parts.flatMap((part, i) =>
    part.notes.map(({ index, site: { startTag } }) => ({
      span: startTag,
      text: `<note id="${noteId(i, index)}"${withoutId(text.slice(startTag.start, startTag.end)).slice("<note".length)}`,
    })),
  );
}

function withoutId(tag: string): string {
  return tag.replace(/\sid\s*=\s*("[^"]*"|'[^']*')/, "");
}

function bracketRemovals(hands: readonly WrittenHand[]): Edit[] {
  const ends = new Set<BracketEnd>();
  for (const { brackets } of hands) {
    for (const { start, stop } of brackets.brackets) ends.add(start).add(stop);
    for (const end of brackets.unmatched) ends.add(end);
  }
  // Two ends may share what goes with either of them.
  const spans = new Map([...ends].map(({ removal }) => [removal.start, removal]));
  return [...spans.values()].map((span) => ({ span, text: "" }));
}

function proposedFingers(text: string, hand: WrittenHand, solution: Solution): Edit[] {
  const placement = hand.hand === "right" ? "above" : "below";
  return hand.line.events.flatMap((event, i) =>
    event.notes.flatMap((entry, j) => {
      const finger = solution.fingers[i]?.[j];
      const { site } = notePrinted(entry);
      if (finger === undefined || mainFingeringSite(site)) return [];
      return setFingering(text, site, String(finger), placement) ?? [];
    }),
  );
}

/** The tag that opens a measure and what stands in it for its part. */
function measurePieces(
  text: string,
  measure: Measure,
  layout: Score["layout"],
): { startTag: string; content: Span } {
  const { start, end } = measure.span;
  const tagEnd = text.indexOf(">", start) + 1;
  const startTag = text.slice(start, tagEnd);
  if (startTag.endsWith("/>"))
    return { startTag: startTag.replace(/\s*\/>$/, ">"), content: { start: tagEnd, end: tagEnd } };
  if (layout === "partwise")
    return { startTag, content: { start: tagEnd, end: text.lastIndexOf("</", end - 1) } };
  // In a timewise score the measure holds parts, and what is wanted is the part that ends here.
  const part = text.lastIndexOf("<part", end - 1);
  const partTagEnd = text.indexOf(">", part) + 1;
  const partEnd = Math.max(partTagEnd, text.lastIndexOf("</", end - 1));
  return { startTag, content: { start: partTagEnd, end: partEnd } };
}

/** A text as some edits leave it, stretch by stretch. */
class Copy {
  readonly #text: string;
  readonly #edits: readonly Edit[];
  #next = 0;

  constructor(text: string, edits: readonly Edit[]) {
    this.#text = text;
    this.#edits = edits;
  }

  /** Stretches may be asked for in any order; in the order of the text it is one pass. */
  slice({ start, end }: Span): string {
    if (this.#next > 0 && this.#edits[this.#next - 1]!.span.start >= start) this.#next = 0;
    while (this.#next < this.#edits.length && this.#edits[this.#next]!.span.start < start) this.#next += 1;
    const pieces: string[] = [];
    let at = start;
    for (; this.#next < this.#edits.length; this.#next += 1) {
      const edit = this.#edits[this.#next]!;
      if (edit.span.end > end) break;
      pieces.push(this.#text.slice(at, edit.span.start), edit.text);
      at = edit.span.end;
    }
    pieces.push(this.#text.slice(at, end));
    return pieces.join("");
  }
}
