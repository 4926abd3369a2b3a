import { ErrorCodes, type Position, type Range, ResponseError } from "vscode-languageserver/node";
import type { TextDocument } from "vscode-languageserver-textdocument";
import type { Span } from "../../shared/text/span.ts";
import type { PositionEncoding } from "./features.ts";

/** Converts between offsets in a document's text and positions as the client counts them. */
export class Converter {
  readonly #document: TextDocument;
  readonly #encoding: PositionEncoding;

  constructor(document: TextDocument, encoding: PositionEncoding) {
    this.#document = document;
    this.#encoding = encoding;
  }

  position(offset: number): Position {
    const position = this.#document.positionAt(offset);
    if (this.#encoding === "utf-16" || position.character === 0) return position;
    const before = this.#document.getText({ start: { line: position.line, character: 0 }, end: position });
    return { line: position.line, character: unitsIn(before, this.#encoding) };
  }

  range(span: Span): Range {
    return { start: this.position(span.start), end: this.position(span.end) };
  }

  /**
   * The offset of a position; one outside the text counts as the nearest inside.
   * @throws ResponseError when it is no position at all.
   */
  offset(position: Position): number {
    if (!Number.isInteger(position?.line) || !Number.isInteger(position.character)) {
      throw new ResponseError(ErrorCodes.InvalidParams, "A position needs a line and a character, from 0.");
    }
    if (this.#encoding === "utf-16") return this.#document.offsetAt(position);
    const { line } = position;
    const start = { line, character: 0 };
    const text = this.#document.getText({ start, end: { line, character: Number.MAX_SAFE_INTEGER } });
    return this.#document.offsetAt(start) + offsetOfUnit(text, position.character, this.#encoding);
  }

  span(range: Range): Span {
    const start = this.offset(range?.start);
    const end = this.offset(range?.end);
    return start <= end ? { start, end } : { start: end, end: start };
  }
}

function unitsIn(text: string, encoding: PositionEncoding): number {
  let units = 0;
  for (const character of text) units += unitsOf(character, encoding);
  return units;
}

/** Where the character begins that holds the unit. */
function offsetOfUnit(text: string, unit: number, encoding: PositionEncoding): number {
  let units = 0;
  let offset = 0;
  for (const character of text) {
    units += unitsOf(character, encoding);
    if (units > unit) break;
    offset += character.length;
  }
  return offset;
}

/** The units of one code point. Source: Unicode Standard, section 3.9, UTF-8 and UTF-32. */
function unitsOf(character: string, encoding: PositionEncoding): number {
  if (encoding === "utf-32") return 1;
  const code = character.codePointAt(0)!;
  if (code < 0x80) return 1;
  if (code < 0x800) return 2;
  return code < 0x10000 ? 3 : 4;
}
