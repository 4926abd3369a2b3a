import { describe, test } from "vitest";
import { fingerOutsideRange } from "../../shared/rules/fingerOutsideRange.ts";
import { checkRule } from "../support/checkRule.ts";
import { tinyScore } from "../support/tinyScore.ts";

describe("finger-outside-range", () => {
  test("a fifth finger is reported and can be removed", () => {
    checkRule(fingerOutsideRange, "C4:1 D4:[5] E4:2", {
      fixed: "C4:1 D4 E4:2",
      fix: "Remove this fingering",
      message: "D4 is marked with finger 5",
    });
  });

  test("the note can be given a finger that fits, and nothing else changes", () => {
    checkRule(fingerOutsideRange, "(C4:[5] D4:3 E4:2 F4:1)", { fixed: "(C4:4 D4:3 E4:2 F4:1)" });
    checkRule(fingerOutsideRange, "C4:[5]+E4:2+G4:1", { fixed: "C4:3+E4:2+G4:1" });
    checkRule(fingerOutsideRange, "L: (C3:[5] G3:2 C4:1)", { fixed: "L: (C3:4 G3:2 C4:1)" });
  });

  test.each(["0", "5", "6", "10", "15", "2-5", "5 4"])("%s is no finger of a harpist", (text) => {
    checkRule(fingerOutsideRange, `C4:1 D4:["${text}"]`);
  });

  test.each(["1", "4", "21", "12", "121", "1-2", "2 1", "2–1", "3,2", "4/3", "(2)"])(
    "%s names fingers, of a trill or a substitution perhaps",
    (text) => {
      checkRule(fingerOutsideRange, `C4:2 D4:"${text}"`);
    },
  );

  test("the thumb's old signs are read and can be written as 1", () => {
    for (const sign of ["+", "T", "x"]) {
      checkRule(fingerOutsideRange, `C4:2 D4:["${sign}"]`, {
        severity: "warning",
        fixed: "C4:2 D4:1",
        fix: "Write 1 for the thumb",
      });
    }
  });

  test("a text that is no finger is doubtful and can be removed", () => {
    checkRule(fingerOutsideRange, `C4:2 D4:[loco]`, { severity: "warning", fixed: "C4:2 D4" });
  });

  test("substitutions, alternates and further fingerings count, and go without the main one", () => {
    checkRule(fingerOutsideRange, "C4:2>[5] D4:1", { fixed: "C4:2 D4:1" });
    checkRule(fingerOutsideRange, "C4:2?[5] D4:1", { fixed: "C4:2 D4:1" });
    checkRule(fingerOutsideRange, "C4:2,[5] D4:1", { fixed: "C4:2 D4:1" });
  });

  test("where every note has a finger it is not removed, but replaced", () => {
    checkRule(fingerOutsideRange, "C4:4 D4:3 E4:[5] F4:1 E4:2 D4:3 C4:4", {
      fixed: "C4:4 D4:3 E4:2 F4:1 E4:2 D4:3 C4:4",
      fixes: 1,
    });
  });

  test("fingers of a chord that all stand on its first note are read one by one", () => {
    checkRule(fingerOutsideRange, "C4:1,2,[5]+E4+G4", { fixed: "C4:3+E4:2+G4:1" });
  });

  test("several are reported each in its place", () => {
    checkRule(fingerOutsideRange, "R: C4:[5] D4:[0] // L: C3/2:[5]");
  });

  test("the fingers of a trill are no number, and another player's fingers are not the harp's", () => {
    checkRule(fingerOutsideRange, 'C4/2:"132"!trill D4/2:1');
    checkRule(fingerOutsideRange, 'C4/2:"1 3 2"!trill D4/2:1');
    const piano =
      '<part id="P0"><measure number="1"><note><rest/><duration>96</duration></note><note><pitch><step>C</step><octave>4</octave></pitch><duration>96</duration><notations><technical><fingering>5</fingering></technical></notations></note></measure></part>';
    const { text } = tinyScore("C4/2:2 D4/2:1");
    checkRule(
      fingerOutsideRange,
      text
        .replace("<part-list>", '<part-list><score-part id="P0"><part-name>Piano</part-name></score-part>')
        .replace('<part id="P1">', `${piano}<part id="P1">`),
    );
  });

  test("no fingering and an empty one are nothing to report", () => {
    checkRule(fingerOutsideRange, 'C4 D4:"" E4:1');
  });
});
