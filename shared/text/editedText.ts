import { type Edit, inOrder } from "./edits.ts";

/** A piece of a text that has been edited: kept from the first text, or written since. */
type Piece =
  | { readonly kept: true; readonly start: number; readonly end: number }
  | { readonly kept: false; readonly text: string };

/**
 * A text that is edited again and again, which can say what one list of edits to the first text does the same.
 * Places that no round touched are in no edit.
 */
export class EditedText {
  #pieces: Piece[];
  readonly #length: number;

  constructor(text: string) {
    this.#length = text.length;
    this.#pieces = [{ kept: true, start: 0, end: text.length }];
  }

  /** Takes one more round of edits; their offsets refer to the text that the rounds before left. */
  apply(edits: readonly Edit[]): void {
    // From the end backwards every place stays true.
    for (const edit of [...inOrder(edits)].reverse()) this.#replace(edit);
  }

  /** Edits to the first text, in its order. */
  edits(): Edit[] {
    const edits: Edit[] = [];
    let at = 0;
    let written = "";
    const finish = (upTo: number): void => {
      if (upTo > at || written !== "") edits.push({ span: { start: at, end: upTo }, text: written });
      written = "";
    };
    for (const piece of this.#pieces) {
      if (!piece.kept) {
        written += piece.text;
        continue;
      }
      if (piece.end === piece.start) continue;
      finish(piece.start);
      at = piece.end;
    }
    finish(this.#length);
    return edits;
  }

  #replace({ span, text }: Edit): void {
    const before = cut(this.#pieces, 0, span.start);
    const after = cut(this.#pieces, span.end, Number.POSITIVE_INFINITY);
    this.#pieces = [...before, ...(text === "" ? [] : [{ kept: false, text } as const]), ...after];
  }
}

/** The pieces between two places of the present text. */
function cut(pieces: readonly Piece[], from: number, to: number): Piece[] {
  const found: Piece[] = [];
  let at = 0;
  for (const piece of pieces) {
    const length = piece.kept ? piece.end - piece.start : piece.text.length;
    const start = Math.max(0, from - at);
    const end = Math.min(length, to - at);
    if (start < end) {
      found.push(
        piece.kept
          ? { kept: true, start: piece.start + start, end: piece.start + end }
          : { kept: false, text: piece.text.slice(start, end) },
      );
    }
    at += length;
  }
  return found;
}
