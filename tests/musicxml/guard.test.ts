import fc from "fast-check";
import { expect, test } from "vitest";
import { Guard, GuardError, guardedText } from "../../shared/musicxml/guard.ts";
import { applyEdits, type Edit } from "../../shared/text/edits.ts";
import { withoutFingering } from "../support/libxml.ts";

const direction = `<direction placement="above"><direction-type><bracket type="start" number="1" line-end="down"/></direction-type><voice>1</voice><staff>1</staff></direction>`;
const original = `<?xml version="1.0" encoding="UTF-8"?>
<!-- before -->
<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN" "http://www.musicxml.org/dtds/partwise.dtd">
<score-partwise version="4.0">
  <part-list><score-part id="P1"><part-name>Harp</part-name></score-part></part-list>
  <part id="P1">
    <measure number="1" width='100'>
      <attributes><divisions>1</divisions></attributes>
      ${direction}
      <note default-x="10">
        <pitch><step>C</step><octave>4</octave></pitch>
        <duration>1</duration><voice>1</voice><!-- a remark -->
        <notations>
          <slur type="start"/>
          <technical><fingering placement="above">2</fingering></technical>
        </notations>
        <lyric><text>la &amp; <![CDATA[<la>]]></text></lyric>
      </note>
      <direction><direction-type><words> dolce </words></direction-type>
        <direction-type><bracket type="stop" number="1" line-end="down"/></direction-type><voice>1</voice></direction>
      <note><pitch><step>D</step><octave>4</octave></pitch><duration>1</duration><voice>1</voice></note>
    </measure>
    <measure number="2">
      <?page break?>
      <note><pitch><step>E</step><octave>4</octave></pitch><duration>2</duration><notations><technical id="t1"><fingering>1</fingering></technical></notations></note>
      <note><pitch><step>F</step><octave>4</octave></pitch><duration>2</duration><notations><technical/></notations></note>
    </measure>
  </part>
</score-partwise>
`;

/** The edit that puts `by` in the place of `what`, which stands once in the text. */
function replacing(what: string, by: string, text = original): Edit {
  const start = text.indexOf(what);
  expect(start, what).toBeGreaterThan(-1);
  expect(text.indexOf(what, start + 1), what).toBe(-1);
  return { span: { start, end: start + what.length }, text: by };
}

const fingering = `<fingering placement="above">2</fingering>`;
const technical = `\n          <technical>${fingering}</technical>`;
const lastNote = `<duration>1</duration><voice>1</voice></note>`;

test.each<[string, Edit]>([
  ["another digit", replacing(fingering, `<fingering placement="above">3</fingering>`)],
  ["a second fingering", replacing(fingering, `${fingering}<fingering substitution="yes">1</fingering>`)],
  ["no fingering in it any more", replacing(technical, "")],
  [
    "a first fingering with its wrappers",
    replacing(
      lastNote,
      lastNote.replace(
        "</note>",
        "\n<notations>\n<technical>\n<fingering>1</fingering></technical></notations>\n</note>",
      ),
    ),
  ],
  ["an empty wrapper filled", replacing("<technical/>", "<technical><fingering>1</fingering></technical>")],
  ["a bracket gone with its direction", replacing(direction, "")],
  ["a bracket more", replacing("<?page break?>", `<?page break?>${direction}`)],
  [
    "a bracket gone from a direction that says more",
    replacing(`<direction-type><bracket type="stop" number="1" line-end="down"/></direction-type>`, ""),
  ],
])("%s passes", (_, edit) => {
  expect(guardedText(original, [edit])).toBe(applyEdits(original, [edit]));
});

test.each<[string, Edit, string]>([
  ["text", replacing("la &amp; ", "lo &amp; "), "measure 1, line 7"],
  ["an attribute", replacing(`default-x="10"`, `default-x="11"`), "the attributes of <note>"],
  [
    "the order of attributes",
    replacing(`number="1" width='100'`, `width='100' number="1"`),
    "outside the measures",
  ],
  ["a comment", replacing("<!-- a remark -->", ""), "a comment became <notations>"],
  ["a comment's text", replacing("<!-- a remark -->", "<!-- another -->"), "a comment"],
  ["a processing instruction", replacing("<?page break?>", ""), "measure 2, line 23"],
  ["CDATA", replacing("<![CDATA[<la>]]>", "&lt;la>"), "note 1: lyric 1: text 1: "],
  ["a slur", replacing(`<slur type="start"/>`, ""), "<notations> became <lyric>"],
  ["a note", replacing(`<step>D</step>`, `<step>E</step>`), "note 2: pitch 1: step 1: text"],
  [
    "the order of elements",
    replacing("<duration>1</duration><voice>1</voice><!--", "<voice>1</voice><duration>1</duration><!--"),
    "<duration> became <voice>",
  ],
  ["white space in words", replacing(" dolce ", "dolce"), "words"],
  [
    "a wrapper with an attribute",
    replacing(`<technical id="t1"><fingering>1</fingering></technical>`, ""),
    "an empty <notations>",
  ],
  ["a wrapper that was empty", replacing("<technical/>", ""), "an empty <technical>"],
  [
    "an empty wrapper that is new",
    replacing(lastNote, lastNote.replace("</note>", "<notations/></note>")),
    "an empty <notations>",
  ],
  [
    "a direction with words",
    replacing("<direction><direction-type><words> dolce </words></direction-type>", "<direction>"),
    "direction",
  ],
  [
    "a bracket made another",
    replacing(`<words> dolce </words>`, `<bracket type="stop" number="1" line-end="up"/>`),
    "direction",
  ],
  ["something before the measures", replacing("<!-- before -->", ""), "an edit lies outside the measures"],
  ["the document type", replacing("4.0 Partwise", "3.1 Partwise"), "an edit lies outside the measures"],
  [
    "a measure more",
    replacing("<?page break?>", `<?page break?></measure><measure number="3">`),
    "the measures change",
  ],
  ["an end tag", replacing("</lyric>", ""), "not well-formed"],
  ["an entity that is not declared", replacing("la &amp; ", "la &unknown; "), "not well-formed"],
  [
    "a fingering that is none of a note's",
    replacing("<attributes>", "<attributes><fingering>1</fingering>"),
    "<fingering>",
  ],
])("a change of %s is refused, and the message says where", (_, edit, message) => {
  expect(() => guardedText(original, [edit])).toThrow(GuardError);
  expect(() => guardedText(original, [edit])).toThrow(message);
});

test("edits that together hide a measure's end are refused", () => {
  const edits = [
    replacing("<!-- a remark -->", "<!-- a remark"),
    replacing("<?page break?>", "<?page break?>-->"),
  ];
  expect(() => guardedText(original, edits)).toThrow(GuardError);
  const moved = [
    replacing(lastNote, `${lastNote}</measure><measure number="1a"><!--`),
    replacing("<?page break?>", "--><?page break?>"),
  ];
  expect(() => guardedText(original, moved)).toThrow(GuardError);
});

test("overlapping edits and edits outside the text are refused", () => {
  const one = replacing(fingering, "");
  expect(() => guardedText(original, [one, { ...one, text: "x" }])).toThrow(GuardError);
  const outside = { span: { start: original.length, end: original.length + 5 }, text: "" };
  expect(() => guardedText(original, [outside])).toThrow(GuardError);
});

test("a text that is not well-formed takes no edit", () => {
  const broken = original.replace("</lyric>", "");
  const edit = replacing(fingering, "", broken);
  expect(() => guardedText(broken, [edit])).toThrow(/the score is not well-formed XML/);
});

test("a text in which nothing changes is returned as it is, even a broken one", () => {
  expect(guardedText("<a", [])).toBe("<a");
});

test("CRLF, CR and mixed line ends are kept apart from each other", () => {
  for (const lineEnd of ["\r\n", "\r"]) {
    const text = original.replaceAll("\n", lineEnd);
    const edit = replacing(fingering, `<fingering>4</fingering>`, text);
    expect(guardedText(text, [edit])).toBe(applyEdits(text, [edit]));
    const lost = replacing(`<step>D</step>`, `<step>E</step>`, text);
    expect(() => guardedText(text, [lost])).toThrow(GuardError);
  }
});

test("a timewise score is guarded alike", () => {
  const text = `<score-timewise><measure number="1"><part id="P1"><note><pitch><step>C</step><octave>4</octave></pitch><duration>1</duration></note></part></measure></score-timewise>`;
  const added = replacing(
    "</note>",
    "<notations><technical><fingering>1</fingering></technical></notations></note>",
    text,
  );
  expect(guardedText(text, [added])).toBe(applyEdits(text, [added]));
  expect(() => guardedText(text, [replacing("<step>C", "<step>D", text)])).toThrow(GuardError);
});

/** Pieces that an edit might wrongly put in, take out, or leave half. */
const pieces = [
  "",
  " ",
  "\n",
  "x",
  "<",
  ">",
  "&",
  "</",
  "<!--",
  "-->",
  "<![CDATA[",
  "]]>",
  "<?a b?>",
  "<fingering>1</fingering>",
  "<technical/>",
  "<technical><fingering>2</fingering></technical>",
  "<notations><technical><fingering>2</fingering></technical></notations>",
  "<notations/>",
  direction,
  "<note/>",
  "</note><note>",
  "</measure><measure>",
  "<words>x</words>",
  "&amp;",
  "&#65;",
];

test("libxml2 sees no other change in anything that the guard lets pass", () => {
  const guard = new Guard(original);
  const before = withoutFingering(Buffer.from(original));
  const starts = [...original.matchAll(/<|>|"/g)].map((match) => match.index);
  const elements = [
    ...original.matchAll(/<(fingering|technical|notations|direction)\b[\s\S]*?<\/\1>|<technical\/>/g),
  ];
  const somewhere = fc
    .record({
      from: fc.nat({ max: starts.length - 1 }),
      nudge: fc.constantFrom(0, 1),
      across: fc.nat({ max: 8 }),
      text: fc.constantFrom(...pieces),
    })
    .map(({ from, nudge, across, text }): Edit => {
      const start = starts[from]! + nudge;
      const end = Math.max(start, starts[Math.min(from + across, starts.length - 1)]!);
      return { span: { start, end }, text };
    });
  const ofAnElement = fc
    .record({
      which: fc.constantFrom(...elements),
      how: fc.constantFrom("before", "after", "instead"),
      text: fc.constantFrom(...pieces),
    })
    .map(({ which, how, text }): Edit => {
      const end = which.index + which[0].length;
      const at = how === "before" ? which.index : end;
      return { span: { start: how === "instead" ? which.index : at, end: at }, text };
    });
  const edit = fc.oneof(somewhere, ofAnElement);
  let passed = 0;
  fc.assert(
    fc.property(fc.array(edit, { minLength: 1, maxLength: 3 }), (edits) => {
      let result: string;
      try {
        result = guard.guardedText(edits);
      } catch (error) {
        if (error instanceof GuardError) return;
        throw error;
      }
      passed += 1;
      expect(withoutFingering(Buffer.from(result))).toBe(before);
    }),
    { seed: 3, numRuns: 12_000 },
  );
  expect(passed).toBeGreaterThan(200);
});
