import { describe, expect, test } from "vitest";
import { elementOutOfOrder } from "../../shared/rules/elementOutOfOrder.ts";
import { analyse } from "../../shared/service/analyse.ts";
import { checkRule, findingsOf } from "../support/checkRule.ts";
import { tinyScore } from "../support/tinyScore.ts";

const { text } = tinyScore("C4:2 E4:1 G4 r | A4");

describe("element-out-of-order", () => {
  test("what a note or the attributes have in the wrong place", () => {
    checkRule(
      elementOutOfOrder,
      text.replace(
        /(<duration>24<\/duration>)\s*(<voice>1<\/voice>)/,
        "$2\n$1 <!-- expect element-out-of-order -->",
      ),
      { message: "<duration> stands after <voice> in <note>; the standard has it before." },
    );
    const divisions = "<divisions>48</divisions>";
    checkRule(
      elementOutOfOrder,
      text
        .replace(divisions, "")
        .replace("</attributes>", `${divisions} <!-- expect element-out-of-order -->\n</attributes>`),
      { message: "<divisions> stands after <clef> in <attributes>" },
    );
  });

  test("one kind is told of once, with its other places", () => {
    const [found, ...others] = findingsOf(
      analyse(tinyScore("C4!misplaced E4!misplaced G4 r | A4!misplaced").text),
      elementOutOfOrder,
    );
    expect(others).toEqual([]);
    expect(found!.message).toContain("here and at 2 more places");
    expect(found!.related.map(({ message }) => message)).toEqual([
      "So it is in bar 1.",
      "So it is in bar 2.",
    ]);
    expect([found!.bar, found!.beat, found!.hand]).toEqual(["1", "1", "right"]);
  });

  test("a file in order, elements that may come in any order, comments and unknown elements", () => {
    checkRule(elementOutOfOrder, text);
    checkRule(elementOutOfOrder, text.replace("<voice>", "<!-- <pitch/> --><voice>"));
    checkRule(elementOutOfOrder, text.replace("<voice>", "<maker-own/><voice>"));
  });

  test("parts that are not the harp's are left to others", () => {
    const other = text
      .replace("<part-list>", '<part-list><score-part id="P0"><part-name>Flute</part-name></score-part>')
      .replace(
        '<part id="P1">',
        '<part id="P0"><measure number="1"><note><duration>192</duration><rest/></note></measure></part><part id="P1">',
      );
    checkRule(elementOutOfOrder, other);
  });
});
