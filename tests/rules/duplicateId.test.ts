import { describe, expect, test } from "vitest";
import { duplicateId } from "../../shared/rules/duplicateId.ts";
import { analyse } from "../../shared/service/analyse.ts";
import { checkRule, findingsOf } from "../support/checkRule.ts";
import { tinyScore } from "../support/tinyScore.ts";

// Source: XML Schema, type xs:ID; MusicXML 4.0, musicxml.xsd, attributes id.
describe("duplicate-id", () => {
  test("an id that stands twice is reported where it comes again", () => {
    checkRule(duplicateId, "C4=a D4=b [E4=a] F4=c", { message: 'The id "a" stands twice' });
    checkRule(duplicateId, "R: C4=a D4 // L: [C3=a] D3");
  });

  test("however often it stands, it is told of once, with all places", () => {
    const [found, ...others] = findingsOf(analyse(tinyScore("C4=a D4=a E4=a").text), duplicateId);
    expect(others).toEqual([]);
    expect(found?.message).toContain("stands 3 times");
    expect(found?.related).toHaveLength(2);
  });

  test("other elements' ids count too, in either kind of quotes", () => {
    const { text } = tinyScore("C4=a D4");
    checkRule(
      duplicateId,
      text
        .replace('<measure number="1">', `$& <!-- expect duplicate-id -->`)
        .replace('<measure number="1">', `<measure number="1" id='P1-I1'>`),
    );
  });

  test("an id that refers to another one is no second one", () => {
    checkRule(duplicateId, "C4=a D4=b");
    const { text } = tinyScore("C4=a D4=b");
    const midi = '<midi-instrument id="P1-I1"><midi-channel>1</midi-channel></midi-instrument>';
    checkRule(duplicateId, text.replace("</score-part>", `${midi}</score-part>`));
    checkRule(duplicateId, text.replace("<voice>1</voice>", '<instrument id="P1-I1"/><voice>1</voice>'));
  });

  test("an instrument that a program declares anew is a habit of the program, not a slip", () => {
    const { text } = tinyScore("C4 D4");
    const again = '<score-instrument id="P1-I1"><instrument-name>Harp</instrument-name></score-instrument>';
    checkRule(
      duplicateId,
      text.replace(
        "</measure>",
        `<sound><instrument-change id="P1-I1"/>${again}</sound> <!-- expect duplicate-id -->$&`,
      ),
      { severity: "warning" },
    );
  });

  test("comments and words hold no ids", () => {
    const { text } = tinyScore("<see id = &quot;a&quot;>C4=a D4");
    checkRule(duplicateId, text.replace("</part-list>", '$&<!-- <note id="a"> -->'));
    checkRule(duplicateId, text.replace("</measure>", '<!-- <note id="a"> -->$&'));
  });
});
