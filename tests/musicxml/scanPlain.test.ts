import { expect, test } from "vitest";
import { type ScanHandler, scan, type TagAttributes } from "../../shared/musicxml/scan.ts";
import { scanPlain } from "../../shared/musicxml/scanPlain.ts";
import { decodeScoreFile } from "../../shared/musicxml/scoreFile.ts";
import { seeds } from "../fuzz/seeds.ts";
import { hasCorpus } from "../support/corpus.ts";
import { generatedScore } from "../support/generatedScore.ts";
import { mutated } from "../support/mutations.ts";
import { Dice } from "../support/randomLines.ts";

// The quick reader is held against saxes, an XML parser of general use, and against XML 1.0 (W3C Recommendation, fifth
// edition): the numbers beside the texts are its productions and constraints.

/** Writes down all that it is told, an element without elements as its two tags. */
class Listener implements ScanHandler {
  readonly told: string[] = [];

  open(name: string, attributes: TagAttributes, start: number, contentStart: number): void {
    const all = attributes.all();
    for (const [key, value] of Object.entries(all))
      if (attributes.get(key) !== value) this.told.push(`not ${key}`);
    if (attributes.get("no-such") !== undefined) this.told.push("one too many");
    this.told.push(`<${name} ${JSON.stringify(all)} ${start} ${contentStart}`);
  }

  close(name: string, contentEnd: number, end: number): void {
    this.told.push(`</${name} ${contentEnd} ${end}`);
  }

  leaf(
    name: string,
    attributes: TagAttributes,
    start: number,
    contentStart: number,
    contentEnd: number,
    end: number,
  ): void {
    this.open(name, attributes, start, contentStart);
    this.close(name, contentEnd, end);
  }
}

/** @returns whether the quick reader read the text; it must have told then what saxes tells. */
function readAlike(text: string, what: string): boolean {
  const quick = new Listener();
  if (!scanPlain(text, quick)) return false;
  const library = new Listener();
  expect(scan(text, library), what).toEqual([]);
  // One comparison of long texts is much quicker than one of long lists.
  if (quick.told.join("\n") !== library.told.join("\n")) expect(quick.told, what).toEqual(library.told);
  return true;
}

function decoded(bytes: Uint8Array): string | undefined {
  try {
    return decodeScoreFile(bytes).text;
  } catch {
    return undefined;
  }
}

test("what it reads it tells as saxes does, and whole scores are read by it", { timeout: 300_000 }, () => {
  const texts = seeds(300_000).flatMap(({ name, bytes }) => {
    const text = decoded(bytes);
    return text === undefined ? [] : [{ name, text }];
  });
  const read = texts.filter(({ name, text }) => readAlike(text, name)).length;
  // A CDATA section is left to saxes: of the scores that are there without the corpus half have one.
  const plain = texts.filter(({ text }) => !text.includes("<![CDATA["));
  expect(read).toBeGreaterThan(0.9 * (hasCorpus ? texts : plain).length);
  expect(readAlike(generatedScore(300_000), "generated")).toBe(true);
});

test("in broken copies it finds no more than saxes does", { timeout: 300_000 }, () => {
  let read = 0;
  for (const { name, bytes } of seeds(hasCorpus ? 12_000 : 300_000)) {
    for (let seed = 1; seed <= 40; seed += 1) {
      const text = decoded(mutated(bytes, new Dice(seed)));
      if (text !== undefined && readAlike(text, `${name}, seed ${seed}`)) read += 1;
    }
  }
  expect(read).toBeGreaterThan(10);
});

test.each([
  ["a bare root", "<a/>"],
  [
    "a declaration and a document type",
    `<?xml version="1.0" encoding="UTF-8"?>\n<!DOCTYPE a PUBLIC "-//X//Y" "z.dtd">\n<a></a>\n`,
  ],
  ["attributes in both quotes, spaces around", `<a b='"' c="'>"  ><d e="f"\n/></a>`],
  ["the five references in a text", "<a>&amp;&lt;&gt;&quot;&apos;</a>"],
  ["processing instructions anywhere", "<?b?><a><?c d?><?e  f='?' ?><?g\n?></a><?h <>&?>"],
  ["a document type after a comment", "<!-- b -->\n<!DOCTYPE a SYSTEM 'b.dtd' >\n<!-- c --><a/>"],
  ["comments anywhere", "<!-- x --><a><!-- - y --><b/>z<!----></a><!-- w -->"],
  ["letters beyond ASCII", "<a b='é'>Ré♯</a>"],
  ["all line ends", "<a>\r\n<b>\r</b>\n</a>\r"],
  ["names with signs", "<a-b.c_d><x:y/></a-b.c_d>"],
])("plain: %s", (what, text) => {
  expect(readAlike(text, what)).toBe(true);
});

test.each([
  ["nothing at all", ""],
  ["no root", "<!-- x -->"],
  ["two roots (1)", "<a/><b/>"],
  ["text outside of the root (1)", "x<a/>"],
  ["text after the root (27)", "<a/>x"],
  ["an end that does not match (element type match)", "<a></b>"],
  ["an end too many", "<a></a></a>"],
  ["an end that is lacking", "<a><b></b>"],
  ["a longer name at the end", "<a></ab>"],
  ["an attribute twice (unique attributes)", `<a b="1" b="2"/>`],
  ["an attribute without a value (41)", "<a b/>"],
  ["an attribute without quotes (10)", "<a b=1/>"],
  ["attributes without a space between (40)", `<a b="1"c="2"/>`],
  ["a < in a value (no < in attribute values)", `<a b="<"/>`],
  ["a reference in a value", `<a b="&amp;"/>`],
  ["a line end in a value, which becomes a space (3.3.3)", `<a b="x\ny"/>`],
  ["an entity that is not declared (entity declared)", "<a>&b;</a>"],
  ["a bare & (14)", "<a>b & c</a>"],
  ["]]> in a text (14)", "<a>]]></a>"],
  ["CDATA (18)", "<a><![CDATA[b]]></a>"],
  ["a declaration inside (16)", `<a><?xml version="1.0"?></a>`],
  ["a declaration after a comment (22)", `<!-- b --><?xml version="1.0"?><a/>`],
  ["a processing instruction without a name (16)", "<a><? b?></a>"],
  ["a processing instruction without an end (16)", "<a><?b c></a>"],
  ["a name and something else in a processing instruction (16)", "<a><?b+c?></a>"],
  ["a control character in a processing instruction (2)", "<a><?b \u0001?></a>"],
  ["a control character in a comment (2)", "<!-- \u0001 --><a/>"],
  ["two document types (22)", "<!DOCTYPE a><!DOCTYPE a><a/>"],
  ["a document type in the root (22)", "<a><!DOCTYPE a></a>"],
  ["a document type after the root (22)", "<a/><!DOCTYPE a>"],
  ["a character reference (66)", "<a>&#233;</a>"],
  ["-- in a comment (15)", "<a><!-- b -- c --></a>"],
  ["a comment without an end (15)", "<a/><!-- b"],
  ["a tag without an end", "<a><b"],
  ["a character that is none (2)", "<a>\u0001</a>"],
  ["a zero (2)", "<a>\0</a>"],
  ["half a pair (2)", "<a>\ud800</a>"],
  ["a character of two units", "<a>𝄞</a>"],
  ["a name of other letters", "<é/>"],
  ["a name that begins with a digit (5)", "<1/>"],
  ["a space before a name", "< a/>"],
  ["a declaration after a space (22)", ` <?xml version="1.0"?><a/>`],
  ["another version (26)", `<?xml version="1.1"?><a/>`],
  ["declarations in the document type (28)", "<!DOCTYPE a [<!ENTITY b 'c'>]><a/>"],
  ["nesting deeper than any score's", "<a>".repeat(300) + "</a>".repeat(300)],
])("left to the library: %s", (_, text) => {
  expect(scanPlain(text, new Listener())).toBe(false);
});
