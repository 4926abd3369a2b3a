import type { Attributes } from "./element.ts";
import type { ScanHandler, TagAttributes } from "./scan.ts";

/**
 * Reads an XML text that is written plainly, as notation programs write scores, several times faster than an XML
 * library that is ready for everything. At the first thing that is not plain it gives up: then a library must read the
 * text from the beginning, and says what, if anything, is wrong with it.
 *
 * Plain is: a declaration, a document type without declarations of its own, comments, processing instructions, elements
 * with ASCII names, a start tag's attributes once each and without references, and in texts the five references that
 * XML knows. Not plain are, among others, CDATA, character references, characters of two UTF-16 units, and all that is
 * not well-formed.
 *
 * @returns true when all of the text was read: it is well-formed then. False means nothing about the text, and what the
 *          handler was told counts for nothing.
 * Time O(text.length), memory text.length bytes; what the handler is told is what `scan` would tell it.
 * Source: XML 1.0, productions 1 to 44.
 */
export function scanPlain(text: string, handler: ScanHandler): boolean {
  const codes = asciiCodes(text);
  if (!codes) return false;
  const names = new Names(text, codes);
  const attributes = new PlainAttributes(text, codes, names);
  /** Names of the elements that are open, and where they stand in their start tags. */
  const open: string[] = [];
  const openAt: number[] = [];
  let rootClosed = false;
  let typeMayCome = true;
  let at = Math.max(0, endOf(declaration, text, 0));
  for (;;) {
    const tag = textEnd(text, codes, at);
    if (tag < 0 || (open.length === 0 && !isBlank(codes, at, tag))) return false;
    if (tag === text.length) return rootClosed;
    const next = codes[tag + 1]!;
    if (next === slash) {
      const name = open.pop();
      const nameAt = openAt.pop();
      if (name === undefined || nameAt === undefined || !isEndTag(codes, tag, nameAt, name.length))
        return false;
      at = tag + name.length + 3;
      rootClosed = open.length === 0;
      handler.close(name, tag, at);
      continue;
    }
    if (next === exclamation || next === question) {
      at = next === question ? instructionEnd(text, codes, tag) : commentEnd(text, codes, tag);
      if (at < 0 && typeMayCome) {
        at = endOf(documentType, text, tag);
        typeMayCome = false;
      }
      if (at < 0) return false;
      continue;
    }
    typeMayCome = false;
    const nameEnd = endOfName(codes, tag + 1);
    if (nameEnd < 0 || rootClosed || open.length >= mostDepth) return false;
    const name = names.between(tag + 1, nameEnd);
    at = attributes.read(nameEnd);
    if (at < 0) return false;
    const selfClosing = codes[at] === slash;
    if (selfClosing) at += 1;
    if (codes[at] !== greater) return false;
    at += 1;
    if (selfClosing) {
      handler.leaf(name, attributes, tag, at, at, at);
      rootClosed = open.length === 0;
      continue;
    }
    const contentEnd = textEnd(text, codes, at);
    if (contentEnd < 0) return false;
    if (codes[contentEnd + 1] === slash && isEndTag(codes, contentEnd, tag + 1, name.length)) {
      const end = contentEnd + name.length + 3;
      handler.leaf(name, attributes, tag, at, contentEnd, end);
      at = end;
      rootClosed = open.length === 0;
    } else {
      open.push(name);
      openAt.push(tag + 1);
      handler.open(name, attributes, tag, at);
      at = contentEnd;
    }
  }
}

const space = "[\\t\\n\\r ]";
const declaration = sticky(
  `<\\?xml${space}+version=(?:"1\\.0"|'1\\.0')`,
  `(?:${space}+encoding=(?:"[A-Za-z][\\w.-]*"|'[A-Za-z][\\w.-]*'))?`,
  `(?:${space}+standalone=(?:"(?:yes|no)"|'(?:yes|no)'))?${space}*\\?>`,
);
/** A document type that stands elsewhere. */
const documentType = sticky(
  `<!DOCTYPE${space}+[A-Za-z-]+(?:${space}+`,
  `(?:PUBLIC${space}+(?:"[\\w ./()+,:=?;!*#@$%-]*"|'[\\w ./()+,:=?;!*#@$%-]*')|SYSTEM)`,
  `${space}+(?:"[\\w:/.-]*"|'[\\w:/.-]*'))?${space}*>`,
);

function sticky(...pieces: readonly string[]): RegExp {
  return new RegExp(pieces.join(""), "y");
}

/** Where what the pattern describes ends, if it stands at `start`; −1 otherwise. */
function endOf(pattern: RegExp, text: string, start: number): number {
  pattern.lastIndex = start;
  return pattern.test(text) ? pattern.lastIndex : -1;
}

/**
 * The codes of the characters, a byte each, and a 0 at the end: an array of bytes is read many times faster than the
 * characters of a string. What is not ASCII stands as a question mark, since it has no place in markup.
 *
 * @returns undefined when a character is not allowed in XML or takes two UTF-16 units.
 */
function asciiCodes(text: string): Uint8Array | undefined {
  const codes = new Uint8Array(text.length + 1);
  const room = codes.subarray(0, text.length);
  const { read } = new TextEncoder().encodeInto(text, room);
  if (read === text.length) return codes;
  if (/[\ud800-\udfff\ufffe\uffff]/.test(text)) return undefined;
  const ascii = text.replace(/[\u0080-\uffff]+/g, (stretch) => "?".repeat(stretch.length));
  new TextEncoder().encodeInto(ascii, room);
  return codes;
}

/** Deeper than any score; what is deeper is read, and reported, by the library. */
const mostDepth = 200;
const mostAttributes = 16;
/** Places for names; a score has less than a hundred. */
const knownNames = 1021;
const noAttributes: Attributes = Object.freeze({});

/** Where the text that begins at `start` ends: at a tag or at the end of all; −1 for what is not plain. */
function textEnd(text: string, codes: Uint8Array, start: number): number {
  let at = start;
  for (;;) {
    while ((kinds[codes[at]!]! & inText) !== 0) at += 1;
    const code = codes[at]!;
    if (code === lessThan) return at;
    if (code === ampersand) {
      at = endOf(plainReference, text, at);
      if (at < 0) return -1;
    } else return code === 0 && at === text.length ? at : -1;
  }
}

function isBlank(codes: Uint8Array, start: number, end: number): boolean {
  for (let at = start; at < end; at += 1) if ((kinds[codes[at]!]! & blank) === 0) return false;
  return true;
}

/** Whether the end tag of the element whose name stands at `nameAt` stands at `start`. */
function isEndTag(codes: Uint8Array, start: number, nameAt: number, length: number): boolean {
  return codes[start + 2 + length] === greater && isAlike(codes, nameAt, start + 2, length);
}

/** Whether the same characters stand at two offsets. */
function isAlike(codes: Uint8Array, one: number, other: number, length: number): boolean {
  for (let i = 0; i < length; i += 1) if (codes[one + i] !== codes[other + i]) return false;
  return true;
}

/** Where the name that begins at `start` ends; −1 when none does. */
function endOfName(codes: Uint8Array, start: number): number {
  if ((kinds[codes[start]!]! & startsName) === 0) return -1;
  let at = start + 1;
  while ((kinds[codes[at]!]! & inName) !== 0) at += 1;
  return at;
}

/** Where a comment ends; −1 for what is none or is not plain. */
function commentEnd(text: string, codes: Uint8Array, start: number): number {
  if (!text.startsWith("<!--", start)) return -1;
  const dashes = text.indexOf("--", start + 4);
  if (dashes < 0 || codes[dashes + 2] !== greater) return -1;
  for (let at = start; at < dashes; at += 1) if (kinds[codes[at]!] === notAllowed) return -1;
  return dashes + 3;
}

/** Where a processing instruction ends; −1 for what is none or is not plain. */
function instructionEnd(text: string, codes: Uint8Array, start: number): number {
  const nameEnd = endOfName(codes, start + 2);
  if (nameEnd < 0 || text.slice(start + 2, nameEnd).toLowerCase() === "xml") return -1;
  const end = text.indexOf("?>", nameEnd);
  if (end < 0 || (end > nameEnd && (kinds[codes[nameEnd]!]! & blank) === 0)) return -1;
  for (let at = nameEnd; at < end; at += 1) if (kinds[codes[at]!] === notAllowed) return -1;
  return end + 2;
}

/** Gives the same string for the same name, as comparing such strings is quick. */
class Names {
  readonly #text: string;
  readonly #codes: Uint8Array;
  /** Names that were met and where, by a number made from them. */
  readonly #names: string[] = new Array(knownNames).fill("");
  readonly #places: number[] = new Array(knownNames).fill(0);

  constructor(text: string, codes: Uint8Array) {
    this.#text = text;
    this.#codes = codes;
  }

  between(start: number, end: number): string {
    const codes = this.#codes;
    const length = end - start;
    const place = (codes[start]! * 31 + codes[end - 1]! * 57 + codes[start + 1]! + length * 7) % knownNames;
    const known = this.#names[place]!;
    if (known.length === length && isAlike(codes, this.#places[place]!, start, length)) return known;
    // The key of an object is a string of its own kind, of which there is one only.
    const name = Object.keys({ [this.#text.slice(start, end)]: true })[0]!;
    this.#names[place] = name;
    this.#places[place] = start;
    return name;
  }
}

class PlainAttributes implements TagAttributes {
  readonly #text: string;
  readonly #codes: Uint8Array;
  readonly #names: Names;
  /** Where the names and values begin and end: four offsets for each attribute. */
  readonly #offsets: number[] = new Array(4 * mostAttributes).fill(0);
  #count = 0;

  constructor(text: string, codes: Uint8Array, names: Names) {
    this.#text = text;
    this.#codes = codes;
    this.#names = names;
  }

  /** @returns where the attributes that follow a name end; −1 for what is not plain. */
  read(start: number): number {
    const codes = this.#codes;
    const offsets = this.#offsets;
    this.#count = 0;
    let at = start;
    for (let count = 0; ; count += 1) {
      const gap = at;
      while ((kinds[codes[at]!]! & blank) !== 0) at += 1;
      const code = codes[at]!;
      if (code === greater || code === slash) return at;
      if (at === gap || count === mostAttributes) return -1;
      const nameStart = at;
      const nameEnd = endOfName(codes, at);
      if (nameEnd < 0) return -1;
      const quote = codes[nameEnd + 1]!;
      if (codes[nameEnd] !== equals || (quote !== doubleQuote && quote !== singleQuote)) return -1;
      at = nameEnd + 2;
      const valueStart = at;
      while (codes[at] !== quote && (kinds[codes[at]!]! & inValue) !== 0) at += 1;
      if (codes[at] !== quote) return -1;
      for (let other = 0; other < count; other += 1) {
        const otherStart = offsets[4 * other]!;
        const length = nameEnd - nameStart;
        if (
          offsets[4 * other + 1]! - otherStart === length &&
          isAlike(codes, otherStart, nameStart, length)
        ) {
          return -1;
        }
      }
      offsets[4 * count] = nameStart;
      offsets[4 * count + 1] = nameEnd;
      offsets[4 * count + 2] = valueStart;
      offsets[4 * count + 3] = at;
      this.#count = count + 1;
      at += 1;
    }
  }

  get(name: string): string | undefined {
    for (let index = 0; index < this.#count; index += 1) {
      const start = this.#offsets[4 * index]!;
      const isSameLength = this.#offsets[4 * index + 1]! - start === name.length;
      if (isSameLength && this.#text.startsWith(name, start)) return this.#value(index);
    }
    return undefined;
  }

  all(): Attributes {
    if (this.#count === 0) return noAttributes;
    const attributes: Record<string, string> = {};
    for (let index = 0; index < this.#count; index += 1) {
      const name = this.#names.between(this.#offsets[4 * index]!, this.#offsets[4 * index + 1]!);
      attributes[name] = this.#value(index);
    }
    return attributes;
  }

  #value(index: number): string {
    return this.#text.slice(this.#offsets[4 * index + 2], this.#offsets[4 * index + 3]);
  }
}

const exclamation = 33;
const doubleQuote = 34;
const ampersand = 38;
const singleQuote = 39;
const slash = 47;
const lessThan = 60;
const equals = 61;
const greater = 62;
const question = 63;

const plainReference = /&(?:amp|lt|gt|quot|apos);/y;

/** What a character may be; several of these at once. */
const notAllowed = 0;
const allowed = 1;
const blank = 2;
const startsName = 4;
const inName = 8;
/** Between tags. */
const inText = 16;
/** In the value of an attribute; a line end there would have to become a space, and is not plain. */
const inValue = 32;

/** For each ASCII code, what the character may be. The zero after the text is not allowed, which ends every loop. */
const kinds = Uint8Array.from({ length: 256 }, (_, code) => {
  const character = String.fromCharCode(code);
  if (code > 127 || (code < 32 && !/[\t\n\r]/.test(character))) return notAllowed;
  return (
    allowed |
    (/[\t\n\r ]/.test(character) ? blank : 0) |
    (/[A-Za-z_]/.test(character) ? startsName : 0) |
    (/[\w.:-]/.test(character) ? inName : 0) |
    (/[^<>&]/.test(character) ? inText : 0) |
    (/[^<&\t\n\r]/.test(character) ? inValue : 0)
  );
});
