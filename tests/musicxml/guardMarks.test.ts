import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { Guard, GuardError, guardedText, type Permission } from "../../shared/musicxml/guard.ts";
import { applyEdits, type Edit } from "../../shared/text/edits.ts";
import { withoutFingering } from "../support/libxml.ts";

/** Marks as they are written: MusicXML 4.0, elements direction, words, harp-pedals. */
const said = (content: string, attributes = ' placement="below"', place = "<staff>2</staff>"): string =>
  `<direction${attributes}><direction-type>${content}</direction-type>${place}</direction>`;
const tuning = (step: string, alter: string): string =>
  `<pedal-tuning><pedal-step>${step}</pedal-step><pedal-alter>${alter}</pedal-alter></pedal-tuning>`;
const words = said("<words>F♯ 3C♮</words>");
const start = said("<words>Set: Fa ♯ Do ♮</words>", ' placement="above"', "");
const diagram = said(`<harp-pedals>${tuning("D", "0")}${tuning("C", "-1")}</harp-pedals>`);
const old = said('<words font-size="9">B♭</words>', ' placement="below" id="d1"');

const note = (step: string, more = ""): string =>
  `<note>${more}<pitch><step>${step}</step><octave>4</octave></pitch><duration>1</duration><voice>1</voice></note>`;
const original = `<?xml version="1.0" encoding="UTF-8"?>
<score-partwise version="4.0">
  <part-list><score-part id="P1"><part-name>Harp</part-name></score-part></part-list>
  <part id="P1">
    <measure number="1">
      <attributes><divisions>1</divisions></attributes>
      ${note("C")}${old}
      ${note("D")}
      <direction><direction-type><words>dolce</words></direction-type></direction>
      ${note("E")}
    </measure>
    <measure number="2"><!-- here -->${note("F")}</measure>
  </part>
</score-partwise>
`;

function replacing(what: string, by: string): Edit {
  const at = original.indexOf(what);
  expect(at, what).toBeGreaterThan(-1);
  expect(original.indexOf(what, at + 1), what).toBe(-1);
  return { span: { start: at, end: at + what.length }, text: by };
}

const beforeF = (text: string): Edit => replacing("<!-- here -->", `<!-- here -->${text}`);
const added: Permission = "mechanism marks added";
const changed: Permission = "mechanism marks changed";

describe("marks of pedals and levers", () => {
  test.each([
    ["words", words],
    ["words before the piece", start],
    ["a diagram", diagram],
    ["words with references", said("<words>F&#9839; R&#233; &#9838;</words>")],
    ["several", `${words}\n${diagram}`],
    ["with an offset and a voice", said("<words>3F♯</words>", "", "<offset>-1</offset><voice>1</voice>")],
  ])("%s may come with permission, and not without", (_, text) => {
    const edit = beforeF(text);
    for (const permission of [added, changed])
      expect(guardedText(original, [edit], permission)).toBe(applyEdits(original, [edit]));
    expect(() => guardedText(original, [edit])).toThrow(GuardError);
  });

  test("beside fingering", () => {
    const fingering = replacing(
      note("D"),
      note("D").replace(
        "</note>",
        "<notations><technical><fingering>2</fingering></technical></notations></note>",
      ),
    );
    const edits = [beforeF(words), fingering];
    expect(guardedText(original, edits, added)).toBe(applyEdits(original, edits));
  });

  test.each([
    ["other words", said("<words>F♯ dolce</words>")],
    ["nothing", said("<words/>")],
    ["words that hold another reference", said("<words>F&#9839;&#65;</words>")],
    ["a reference in disguise", said("<words>F&amp;#9839;</words>")],
    ["words with a look of their own", said('<words color="#ffffff">F♯</words>')],
    ["an attribute that moves it away", said("<words>F♯</words>", ' placement="below" system="none"')],
    ["an id", said("<words>F♯</words>", ' id="d2"')],
    ["a tempo", said("<words>F♯</words>", "", '<sound tempo="300"/>')],
    ["a comment", said("<!-- x --><words>F♯</words>")],
    ["CDATA", said("<words><![CDATA[F♯]]></words>")],
    ["a processing instruction", said("<?x y?><words>F♯</words>")],
    ["text beside it", said("x<words>F♯</words>")],
    ["another sign with it", said("<words>F♯</words><segno/>")],
    [
      "a second direction-type of another kind",
      said("<words>F♯</words></direction-type><direction-type><coda/>"),
    ],
    ["a pedal that there is not", said(`<harp-pedals>${tuning("H", "0")}</harp-pedals>`)],
    ["a position that there is not", said(`<harp-pedals>${tuning("C", "2")}</harp-pedals>`)],
    ["a diagram of nothing", said("<harp-pedals/>")],
    ["a diagram that is hidden", said(`<harp-pedals print-object="no">${tuning("C", "0")}</harp-pedals>`)],
    ["markup as a voice", said("<words>F♯</words>", "", "<voice><b/></voice>")],
    ["a note behind it", `${words}${note("G")}`],
    ["a rest in time", `${words}<forward><duration>1</duration></forward>`],
    ["a comment behind it", `${words}<!-- x -->`],
    ["the words alone", "<words>F♯</words>"],
    ["a measure's end in it", `${words}</measure><measure number="3">`],
  ])("%s is refused", (_, text) => {
    expect(() => guardedText(original, [beforeF(text)], added)).toThrow(GuardError);
  });

  test("inside a note it is refused", () => {
    const inside = replacing(note("F"), note("F", words));
    for (const permission of [added, changed])
      expect(() => guardedText(original, [inside], permission)).toThrow(GuardError);
  });

  test("one that was there may neither go nor change where only new ones may come", () => {
    const edits = [
      replacing(old, ""),
      replacing("B♭", "B♮"),
      replacing(old, words),
      replacing(' id="d1"', ""),
      replacing(`${note("C")}${old}`, `${old}${note("C")}`),
    ];
    for (const edit of edits) expect(() => guardedText(original, [edit], added)).toThrow(GuardError);
    for (const edit of edits) expect(guardedText(original, [edit], changed)).toContain("dolce");
  });

  test("what says something else stays in any case", () => {
    for (const edit of [
      replacing("<words>dolce</words>", "<words>F♯</words>"),
      replacing("<direction><direction-type><words>dolce</words></direction-type></direction>", ""),
      replacing(note("D"), ""),
      replacing(note("D"), words),
      replacing("<!-- here -->", words),
    ]) {
      for (const permission of [added, changed])
        expect(() => guardedText(original, [edit], permission)).toThrow(GuardError);
    }
  });

  test("libxml2 sees no other change in anything that passes", () => {
    const fresh = [words, start, diagram];
    // None of them is in the original, so that what passed is the original once they are taken out again.
    const bare = (text: string): string | undefined =>
      withoutFingering(Buffer.from(fresh.reduce((left, one) => left.replaceAll(one, ""), text)));
    const before = bare(original);
    const guard = new Guard(original);
    const ends = [...original.matchAll(/<|>/g)].map(({ index }) => index);
    const pieces = [
      ...fresh,
      `${words}${note("G")}`,
      "",
      " ",
      "x",
      "<!--",
      "-->",
      "</direction>",
      "<direction>",
      "</note>",
      "</measure><measure>",
      "<words>F♯</words>",
      said("<words>F♯ dolce</words>"),
    ];
    const edit = fc
      .record({
        from: fc.nat({ max: ends.length - 1 }),
        nudge: fc.constantFrom(0, 1),
        across: fc.oneof(
          { weight: 3, arbitrary: fc.constant(0) },
          { weight: 1, arbitrary: fc.nat({ max: 12 }) },
        ),
        text: fc.constantFrom(...pieces),
      })
      .map(({ from, nudge, across, text }): Edit => {
        const begin = ends[from]! + nudge;
        return {
          span: { start: begin, end: Math.max(begin, ends[Math.min(from + across, ends.length - 1)]!) },
          text,
        };
      });
    let passed = 0;
    fc.assert(
      fc.property(fc.array(edit, { minLength: 1, maxLength: 3 }), (edits) => {
        let result: string;
        try {
          result = guard.guardedText(edits, added);
        } catch (error) {
          if (error instanceof GuardError) return;
          throw error;
        }
        passed += 1;
        expect(bare(result)).toBe(before);
      }),
      { seed: 5, numRuns: 6000 },
    );
    expect(passed).toBeGreaterThan(150);
  });
});
