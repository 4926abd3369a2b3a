import { LineIndex } from "../text/lineIndex.ts";
import { InputError } from "../text/problem.ts";

/** How a file stores its characters, so that they can be stored the same way again. */
export interface TextEncoding {
  /** As an XML declaration names it: `UTF-8`, `UTF-16LE`, `UTF-16BE`, `ISO-8859-1`, `windows-1252`, … */
  readonly name: string;
  readonly byteOrderMark: boolean;
}

/** A text and how its file stores it. */
export interface DecodedText {
  /** Without the byte order mark. */
  readonly text: string;
  readonly encoding: TextEncoding;
  /** What was assumed about the encoding, in sentences. */
  readonly notes: readonly string[];
}

/**
 * Decodes the bytes of an XML file. The bytes decide first (byte order mark, the pattern of UTF-16, what is valid
 * UTF-8), then the declaration; a declaration that the bytes contradict is noted.
 *
 * @returns what `encodeText` turns into the same bytes again.
 * @throws InputError for UTF-32, for encodings that cannot be written back, and for half a UTF-16 character.
 * Source: XML 1.0, appendix F, autodetection of character encodings.
 */
export function decodeText(bytes: Uint8Array): DecodedText {
  if (startsWith(bytes, [0xff, 0xfe, 0, 0]) || startsWith(bytes, [0, 0, 0xfe, 0xff])) {
    throw new InputError("The file is stored in UTF-32. Save it as UTF-8.");
  }
  if (startsWith(bytes, [0xff, 0xfe])) return utf16(bytes.subarray(2), true, true);
  if (startsWith(bytes, [0xfe, 0xff])) return utf16(bytes.subarray(2), false, true);
  const pattern = utf16Pattern(bytes);
  if (pattern) return utf16(bytes, pattern === "little", false);

  const byteOrderMark = startsWith(bytes, utf8Mark);
  const content = byteOrderMark ? bytes.subarray(utf8Mark.length) : bytes;
  const declared = declaredEncoding(content);
  const asUtf8 = validUtf8(content);
  if (asUtf8 !== undefined) return fromUtf8(asUtf8, content, byteOrderMark, declared);
  return fromSingleBytes(content, byteOrderMark, declared);
}

/**
 * Stores a text as its file stored it before.
 * @throws InputError when the encoding has no byte for a character; it names the character and its place.
 */
export function encodeText(text: string, encoding: TextEncoding): Uint8Array {
  const { name, byteOrderMark } = encoding;
  if (name === "UTF-16LE" || name === "UTF-16BE") return toUtf16(text, name === "UTF-16LE", byteOrderMark);
  const body = name === "UTF-8" ? new TextEncoder().encode(text) : toSingleBytes(text, name);
  if (!byteOrderMark) return body;
  const marked = new Uint8Array(body.length + utf8Mark.length);
  marked.set(utf8Mark);
  marked.set(body, utf8Mark.length);
  return marked;
}

const utf8Mark = [0xef, 0xbb, 0xbf];

function startsWith(bytes: Uint8Array, start: readonly number[]): boolean {
  return bytes.length >= start.length && start.every((byte, i) => bytes[i] === byte);
}

/** Two ASCII characters at the start, each with an empty byte on the same side: UTF-16 without a mark. */
function utf16Pattern(bytes: Uint8Array): "little" | "big" | undefined {
  const [a, b, c, d] = bytes;
  if (a && b === 0 && c && d === 0) return "little";
  if (a === 0 && b && c === 0 && d) return "big";
  return undefined;
}

function utf16(bytes: Uint8Array, littleEndian: boolean, byteOrderMark: boolean): DecodedText {
  if (bytes.length % 2 !== 0) {
    throw new InputError("The file is stored in UTF-16 and ends inside a character: it was cut short.");
  }
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const pieces: string[] = [];
  const units = new Array<number>(pieceLength);
  for (let at = 0; at < bytes.length; at += 2 * pieceLength) {
    const count = Math.min(pieceLength, (bytes.length - at) / 2);
    units.length = count;
    for (let i = 0; i < count; i += 1) units[i] = view.getUint16(at + 2 * i, littleEndian);
    pieces.push(String.fromCharCode(...units));
  }
  return {
    text: pieces.join(""),
    encoding: { name: littleEndian ? "UTF-16LE" : "UTF-16BE", byteOrderMark },
    notes: [],
  };
}

/** Characters at a time: a call takes its arguments from the stack, which is small. */
const pieceLength = 8192;

function toUtf16(text: string, littleEndian: boolean, byteOrderMark: boolean): Uint8Array {
  const start = byteOrderMark ? 2 : 0;
  const bytes = new Uint8Array(start + 2 * text.length);
  const view = new DataView(bytes.buffer);
  if (byteOrderMark) view.setUint16(0, 0xfeff, littleEndian);
  for (let i = 0; i < text.length; i += 1) view.setUint16(start + 2 * i, text.charCodeAt(i), littleEndian);
  return bytes;
}

/** The encoding that the XML declaration names; undefined without one. */
function declaredEncoding(bytes: Uint8Array): string | undefined {
  let start = "";
  for (const byte of bytes.subarray(0, 256)) start += String.fromCharCode(byte);
  return /^\s*<\?xml\s[^>]*?\bencoding\s*=\s*["']([A-Za-z][\w.-]*)["']/.exec(start)?.[1];
}

function validUtf8(bytes: Uint8Array): string | undefined {
  try {
    return new TextDecoder("utf-8", { fatal: true, ignoreBOM: true }).decode(bytes);
  } catch {
    return undefined;
  }
}

function fromUtf8(
  text: string,
  bytes: Uint8Array,
  byteOrderMark: boolean,
  declared: string | undefined,
): DecodedText {
  const utf8: DecodedText = { text, encoding: { name: "UTF-8", byteOrderMark }, notes: [] };
  if (declared === undefined || byteOrderMark || /^(utf-?8|us-ascii|ascii)$/i.test(declared)) return utf8;
  // UTF-8 needs more than one byte for anything but ASCII, so equal lengths mean that every encoding agrees.
  const onlyAscii = text.length === bytes.length;
  if (onlyAscii && singleByteTable(declared)) return { ...utf8, encoding: { name: declared, byteOrderMark } };
  return {
    ...utf8,
    notes: [`The file says that it is stored in ${declared}; its bytes are UTF-8, and it is read as that.`],
  };
}

function fromSingleBytes(
  bytes: Uint8Array,
  byteOrderMark: boolean,
  declared: string | undefined,
): DecodedText {
  const decoded = (name: string, table: readonly string[], notes: readonly string[]): DecodedText => ({
    text: withTable(bytes, table),
    encoding: { name, byteOrderMark },
    notes,
  });
  if (declared !== undefined && !/^(utf-?8|utf-?16.*|us-ascii|ascii)$/i.test(declared)) {
    const table = singleByteTable(declared);
    if (table === undefined && isKnown(declared)) {
      throw new InputError(
        `The file is stored in ${declared}, which cannot be written back unchanged. Save it as UTF-8.`,
      );
    }
    const fits = table && bytes.every((byte) => table[byte] !== unknownCharacter);
    // ISO-8859-1 has control characters where windows-1252 has quotation marks and dashes; scores mean the latter.
    if (fits && !(isLatin1(declared) && holdsControls(bytes))) return decoded(declared, table, []);
  }
  const name = holdsControls(bytes) ? "windows-1252" : "ISO-8859-1";
  const said = declared === undefined ? "names no encoding" : `says that it is stored in ${declared}`;
  return decoded(name, singleByteTable(name)!, [
    `The file ${said}; its bytes are not valid for that, and it is read as ${name}.`,
  ]);
}

function holdsControls(bytes: Uint8Array): boolean {
  return bytes.some((byte) => byte >= 0x80 && byte <= 0x9f);
}

function withTable(bytes: Uint8Array, table: readonly string[]): string {
  const pieces: string[] = [];
  for (let at = 0; at < bytes.length; at += pieceLength) {
    let piece = "";
    for (const byte of bytes.subarray(at, at + pieceLength)) piece += table[byte];
    pieces.push(piece);
  }
  return pieces.join("");
}

const unknownCharacter = "\ufffd";

function isLatin1(label: string): boolean {
  return /^(iso[-_]?8859-1|latin-?1)$/i.test(label);
}

function isKnown(label: string): boolean {
  try {
    new TextDecoder(label);
    return true;
  } catch {
    return false;
  }
}

/**
 * What windows-1252 has at 0x80 to 0x9F. Written out because some JavaScript engines decode it as ISO-8859-1.
 * Source: WHATWG Encoding Standard, index windows-1252.
 */
const windows1252 = [
  ..."\u20ac\u0081\u201a\u0192\u201e\u2026\u2020\u2021\u02c6\u2030\u0160\u2039\u0152\u008d\u017d\u008f",
  ..."\u0090\u2018\u2019\u201c\u201d\u2022\u2013\u2014\u02dc\u2122\u0161\u203a\u0153\u009d\u017e\u0178",
];

/** The 256 characters of an encoding that has one byte a character and holds ASCII; undefined for any other. */
function singleByteTable(label: string): readonly string[] | undefined {
  const latin1 = Array.from({ length: 256 }, (_, byte) => String.fromCharCode(byte));
  if (isLatin1(label)) return latin1;
  if (/^(windows-1252|cp-?1252)$/i.test(label)) {
    return latin1.map((character, byte) => windows1252[byte - 0x80] ?? character);
  }
  if (!isKnown(label)) return undefined;
  const table = [...new TextDecoder(label).decode(Uint8Array.from({ length: 256 }, (_, byte) => byte))];
  const holdsAscii = table.slice(0, 128).every((character, byte) => character.charCodeAt(0) === byte);
  return table.length === 256 && holdsAscii ? table : undefined;
}

function toSingleBytes(text: string, name: string): Uint8Array {
  const byteOf = new Map(singleByteTable(name)!.map((character, byte) => [character, byte]));
  byteOf.delete(unknownCharacter);
  const bytes = new Uint8Array(text.length);
  for (let i = 0; i < text.length; i += 1) {
    const code = text.charCodeAt(i);
    const byte = code < 0x80 ? code : byteOf.get(text[i]!);
    if (byte === undefined) throw notExpressible(text, i, name);
    bytes[i] = byte;
  }
  return bytes;
}

function notExpressible(text: string, at: number, name: string): InputError {
  const { line, column } = new LineIndex(text).place(at);
  const code = text.codePointAt(at)!;
  const hex = code.toString(16).toUpperCase().padStart(4, "0");
  return new InputError(
    `Line ${line}, column ${column}: the character ${String.fromCodePoint(code)} (U+${hex}) does not exist in ${name}, which this file is stored in. Save the file as UTF-8.`,
  );
}
