import type { Span } from "./span.ts";

/** One replacement in a text. Its offsets refer to the text before any edit. */
export interface Edit {
  readonly span: Span;
  readonly text: string;
}

/** Collects edits to one text. Every offset refers to the text before any edit. */
export class EditBuilder {
  #edits: Edit[] = [];

  insert(at: number, text: string): this {
    return this.replace({ start: at, end: at }, text);
  }

  remove(span: Span): this {
    return this.replace(span, "");
  }

  replace(span: Span, text: string): this {
    this.#edits.push({ span, text });
    return this;
  }

  /**
   * The edits in text order; insertions at one offset keep the order in which they were asked for.
   * @throws RangeError if two overlap.
   */
  finish(): readonly Edit[] {
    return inOrder(this.#edits);
  }
}

/** Sorts edits by place. @throws RangeError if two overlap. */
export function inOrder(edits: readonly Edit[]): readonly Edit[] {
  const sorted = [...edits].sort((a, b) => a.span.start - b.span.start || a.span.end - b.span.end);
  for (let i = 1; i < sorted.length; i += 1) {
    if (sorted[i]!.span.start < sorted[i - 1]!.span.end) {
      throw new RangeError(`edits overlap at offset ${sorted[i]!.span.start}`);
    }
  }
  return sorted;
}

/** The text after the edits. @throws RangeError if two overlap or one lies outside the text. */
export function applyEdits(text: string, edits: readonly Edit[]): string {
  const pieces: string[] = [];
  let at = 0;
  for (const edit of inOrder(edits)) {
    if (edit.span.end > text.length || edit.span.start < 0) {
      throw new RangeError(`edit at offset ${edit.span.start} lies outside the text`);
    }
    pieces.push(text.slice(at, edit.span.start), edit.text);
    at = edit.span.end;
  }
  pieces.push(text.slice(at));
  return pieces.join("");
}
