import fc from "fast-check";
import { expect, test } from "vitest";
import { decodeText, encodeText } from "../../shared/musicxml/encoding.ts";
import { InputError } from "../../shared/text/problem.ts";

const xml = (encoding: string, content: string): string =>
  `<?xml version="1.0" encoding="${encoding}"?><work-title>${content}</work-title>`;
/** Node's own encoders, which this project's code does not use. */
const latin1 = (text: string): Uint8Array => new Uint8Array(Buffer.from(text, "latin1"));
const utf8 = (text: string): Uint8Array => new Uint8Array(Buffer.from(text, "utf8"));
const utf16le = (text: string): Uint8Array => new Uint8Array(Buffer.from(text, "utf16le"));
const utf16be = (text: string): Uint8Array => new Uint8Array(Buffer.from(text, "utf16le").swap16());

function roundTrip(bytes: Uint8Array) {
  const decoded = decodeText(bytes);
  expect(Buffer.from(encodeText(decoded.text, decoded.encoding))).toEqual(Buffer.from(bytes));
  return decoded;
}

// XML 1.0, appendix F: the mark or the pattern of the first bytes tells the family, then the declaration.
test.each([
  ["UTF-8", utf8(xml("UTF-8", "Höhe ♭")), "UTF-8", false],
  ["UTF-8 with a mark", utf8(`\ufeff${xml("UTF-8", "Höhe ♭")}`), "UTF-8", true],
  ["no declaration at all", utf8("<a>é</a>"), "UTF-8", false],
  ["UTF-16 little-endian", utf16le(`\ufeff${xml("UTF-16", "Höhe ♭ 𝄞")}`), "UTF-16LE", true],
  ["UTF-16 big-endian", utf16be(`\ufeff${xml("UTF-16", "Höhe ♭ 𝄞")}`), "UTF-16BE", true],
  ["UTF-16 little-endian without a mark", utf16le(xml("UTF-16", "Höhe ♭")), "UTF-16LE", false],
  ["UTF-16 big-endian without a mark", utf16be(xml("UTF-16", "Höhe ♭")), "UTF-16BE", false],
  ["ISO-8859-1 as declared", latin1(xml("ISO-8859-1", "Höhe")), "ISO-8859-1", false],
  ["windows-1252 as declared", latin1(xml("windows-1252", "\x93Höhe\x94")), "windows-1252", false],
  ["another encoding of one byte a character", latin1(xml("ISO-8859-15", "\xa4")), "ISO-8859-15", false],
])("%s is read without a note and stored the same", (_, bytes, name, byteOrderMark) => {
  const { text, encoding, notes } = roundTrip(bytes);
  expect(encoding).toEqual({ name, byteOrderMark });
  expect(notes).toEqual([]);
  expect(text).toMatch(/^<.*>$/);
});

test("characters come out as they were meant", () => {
  expect(decodeText(latin1(xml("ISO-8859-1", "Flöte"))).text).toContain("Flöte");
  // The euro sign tells ISO-8859-15 from ISO-8859-1, the quotation marks windows-1252.
  expect(decodeText(latin1(xml("ISO-8859-15", "\xa4"))).text).toContain("€");
  expect(decodeText(latin1(xml("windows-1252", "\x93a\x94"))).text).toContain("“a”");
  expect(decodeText(utf16be(xml("UTF-16", "𝄞"))).text).toContain("𝄞");
});

test("the bytes decide against a wrong declaration, and that is noted", () => {
  const latinSayingUtf8 = roundTrip(latin1(xml("UTF-8", "Flöte")));
  expect(latinSayingUtf8.text).toContain("Flöte");
  expect(latinSayingUtf8.notes).toEqual([
    "The file says that it is stored in UTF-8; its bytes are not valid for that, and it is read as ISO-8859-1.",
  ]);
  const utf8SayingLatin = roundTrip(utf8(xml("ISO-8859-1", "Flöte")));
  expect(utf8SayingLatin.text).toContain("Flöte");
  expect(utf8SayingLatin.notes).toHaveLength(1);
  const utf8SayingUtf16 = roundTrip(utf8(xml("UTF-16", "Flöte")));
  expect(utf8SayingUtf16.text).toContain("Flöte");
  expect(utf8SayingUtf16.notes).toHaveLength(1);
  const markedSayingLatin = roundTrip(utf8(`\ufeff${xml("ISO-8859-1", "Flöte")}`));
  expect(markedSayingLatin.text).toContain("Flöte");
});

test("a file of ASCII only keeps the encoding that it names", () => {
  const { encoding } = roundTrip(latin1(xml("ISO-8859-1", "Flute")));
  expect(encoding.name).toBe("ISO-8859-1");
  expect(Buffer.from(encodeText("é", encoding))).toEqual(Buffer.from([0xe9]));
});

test("what cannot be stored in the file's encoding is refused with its place", () => {
  const { encoding } = decodeText(latin1(xml("ISO-8859-1", "Flöte")));
  expect(() => encodeText("abc\n d♭", encoding)).toThrow(
    "Line 2, column 3: the character ♭ (U+266D) does not exist in ISO-8859-1",
  );
});

test("encodings that could not be written back are refused", () => {
  const declared = latin1(xml("Shift_JIS", "\x83n\x81[\x83v"));
  expect(() => decodeText(declared)).toThrow(/stored in Shift_JIS, which cannot be written back unchanged/);
  expect(() => decodeText(Uint8Array.of(0xff, 0xfe, 0, 0, 0x3c, 0, 0, 0))).toThrow(/UTF-32/);
  expect(() => decodeText(utf16le("\ufeff<a/>").subarray(0, 7))).toThrow(/cut short/);
});

test("any bytes are refused with a sentence or stored the same", () => {
  const bytes = fc.oneof(
    fc.uint8Array({ maxLength: 300 }),
    fc.string({ unit: "binary", maxLength: 100 }).map((text) => utf16le(`\ufeff${text}`)),
    fc.string({ unit: "binary", maxLength: 100 }).map(utf8),
    fc
      .tuple(fc.constantFrom("UTF-8", "KOI8-R", "nonsense", "macintosh", "ISO-8859-1"), fc.uint8Array())
      .map(([name, more]) =>
        Uint8Array.from([...latin1(`<?xml version="1.0" encoding="${name}"?>`), ...more]),
      ),
  );
  fc.assert(
    fc.property(bytes, (input) => {
      try {
        roundTrip(input);
      } catch (error) {
        if (!(error instanceof InputError)) throw error;
      }
    }),
    { seed: 7, numRuns: 3000 },
  );
});
