import { describe, expect, test } from "vitest";
import { guardedText } from "../../shared/musicxml/guard.ts";
import { fingersInText } from "../../shared/rules/fingersInText.ts";
import { analyse } from "../../shared/service/analyse.ts";
import { checkRule, findingsOf } from "../support/checkRule.ts";
import { tinyScore } from "../support/tinyScore.ts";

describe("fingers-in-text", () => {
  test("digits in words are told of once and made fingerings of", () => {
    checkRule(fingersInText, "[<1>]E4 <2>D4 <3>C4 r", {
      fixed: "E4:1 D4:2 C4:3 r",
      message: "3 digits that look like fingers stand in words and not in fingerings",
    });
    checkRule(fingersInText, "R: [<1 2 4>]C4+E4+C5 D4 // L: C3/4", {
      fixed: "R: C4:4+E4:2+C5:1 D4 // L: C3/4",
    });
    checkRule(fingersInText, "R: C5/4 // L: [<4>]C3 <2>G3 <1>C4 r", {
      fixed: "R: C5/4 // L: C3:4 G3:2 C4:1 r",
    });
  });

  test("so are digits in lyrics", () => {
    let digit = 0;
    const text = tinyScore("E4 D4 C4 r").text.replace(/<\/note>/g, (end) => {
      digit += 1;
      const lyric = `<lyric number="1"><syllabic>single</syllabic><text>${digit}</text></lyric>`;
      return digit <= 3 ? lyric + end : end;
    });
    const [found] = findingsOf(analyse(text), fingersInText);
    expect(found?.message).toContain("stand in lyrics");
    const fixed = guardedText(text, found!.fixes[0]!.edits());
    expect(fixed).not.toContain("<lyric");
    expect(fixed.match(/<fingering[^>]*>\d/g)?.map((each) => each.slice(-1))).toEqual(["1", "2", "3"]);
  });

  test("what is written is guarded: digits go where fingerings come, and nowhere else", () => {
    const { text } = tinyScore("<1>E4 <2>D4 <3>C4 r");
    const edits = findingsOf(analyse(text), fingersInText)[0]!.fixes[0]!.edits();
    expect(guardedText(text, edits)).not.toContain("<words>");
    const removals = edits.filter((edit) => edit.text === "");
    expect(() => guardedText(text, removals)).toThrow("digits in words or lyrics are gone");
  });

  test("words, counts and bar numbers are text", () => {
    checkRule(fingersInText, "<dolce>E4 <2nd time>D4 <12>C4 <rit. 3>B3");
    checkRule(fingersInText, "<1>E4 <2>D4 C4 B3");
    checkRule(fingersInText, "<0>E4 <0>D4 <5>C4 <5>B3");
  });

  test("a note that has a fingering has something else in its words", () => {
    checkRule(fingersInText, "<1>E4:1 <2>D4:1 <3>C4:1 r");
  });

  test("words that stand with something else stay", () => {
    const { text } = tinyScore("<1>E4 <2>D4 <3>C4 r");
    checkRule(
      fingersInText,
      text.replaceAll("<direction-type>", "<direction-type><dynamics><p/></dynamics></direction-type>$&"),
    );
  });
});
