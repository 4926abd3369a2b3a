/** A place in a text as people count it: both from 1, columns in UTF-16 units. */
export interface Place {
  readonly line: number;
  readonly column: number;
}

/** Converts between offsets and lines. Line ends are LF, CRLF and CR, as in XML and in LSP. */
export class LineIndex {
  readonly #text: string;
  readonly #length: number;
  #found: readonly number[] | undefined;

  constructor(text: string) {
    this.#text = text;
    this.#length = text.length;
  }

  /** Where each line starts; looked for when first needed. */
  get #starts(): readonly number[] {
    this.#found ??= lineStarts(this.#text);
    return this.#found;
  }

  get lineCount(): number {
    return this.#starts.length;
  }

  /** The place of an offset; offsets outside the text count as its nearest end. */
  place(offset: number): Place {
    const at = Math.max(0, Math.min(offset, this.#length));
    let low = 0;
    let high = this.#starts.length - 1;
    while (low < high) {
      const middle = (low + high + 1) >> 1;
      if (this.#starts[middle]! <= at) low = middle;
      else high = middle - 1;
    }
    return { line: low + 1, column: at - this.#starts[low]! + 1 };
  }

  /** The offset of a place; places outside the text count as the nearest one inside. */
  offset(place: Place): number {
    const line = Math.max(1, Math.min(place.line, this.#starts.length));
    const start = this.#starts[line - 1]!;
    const next = this.#starts[line] ?? this.#length + 1;
    return Math.min(start + Math.max(0, place.column - 1), Math.max(start, next - 1), this.#length);
  }
}

function lineStarts(text: string): number[] {
  const starts = [0];
  for (let at = 0; at < text.length; at += 1) {
    const code = text.charCodeAt(at);
    if (code === 13 && text.charCodeAt(at + 1) === 10) continue;
    if (code === 10 || code === 13) starts.push(at + 1);
  }
  return starts;
}
