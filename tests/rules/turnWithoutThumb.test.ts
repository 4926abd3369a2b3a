import { describe, expect, test } from "vitest";
import { turnWithoutThumb } from "../../shared/rules/turnWithoutThumb.ts";
import { analyse } from "../../shared/service/analyse.ts";
import { checkRule, findingsOf } from "../support/checkRule.ts";
import { tinyScore } from "../support/tinyScore.ts";

describe("turn-without-thumb", () => {
  test("a turn reached by crossing is reported and fingered anew", () => {
    checkRule(turnWithoutThumb, "C4:3 D4:2 E4:1 F4:[2] E4:1 D4:2 C4:3", {
      fixed: "C4:4 D4:3 E4:2 F4:1 E4:2 D4:3 C4:4",
      message: "The line turns at F4 with finger 2, between E4 (1) and E4 (1)",
    });
  });

  test("2 3 2 and 1 3 2 over three notes", () => {
    checkRule(turnWithoutThumb, "F4:2 A4:[3] G4:2", { fixed: "F4:2 A4:1 G4:2" });
    checkRule(turnWithoutThumb, "F4:1 A4:[3] G4:2", { fixed: "F4:2 A4:1 G4:2" });
    checkRule(turnWithoutThumb, "L: F3:2 A3:[3] G3:2", { fixed: "L: F3:2 A3:1 G3:2" });
  });

  test("with brackets around, they are drawn anew as well", () => {
    checkRule(turnWithoutThumb, "(C4:3 D4:2 E4:1) F4:[2] (E4:1 D4:2 C4:3)", {
      fixed: "(C4:4 D4:3 E4:2 (F4:1) E4:2 D4:3 C4:4)",
    });
  });

  test("the thumb on the turn is right, also after a crossing", () => {
    checkRule(turnWithoutThumb, "F4:2 A4:1 G4:2");
    checkRule(turnWithoutThumb, "C4:3 D4:2 E4:1 F4:2 G4:1 F4:2 E4:3");
  });

  test("a lower turn is another matter", () => {
    checkRule(turnWithoutThumb, "E4:1 C4:2 D4:1");
    checkRule(turnWithoutThumb, "E4:1 D4:2 C4:3 D4:2 E4:1");
  });

  test("where the hand comes off, a note that stands alone may have its usual finger", () => {
    checkRule(turnWithoutThumb, "@60 C4/2:2 E4/2:2 D4/2:2");
    checkRule(turnWithoutThumb, "C4/4:2 E4/4:2 C4/4:2");
  });

  test("a quick ornament may take a fresh finger", () => {
    checkRule(turnWithoutThumb, "C4:1 ~D4:3 C4:2");
    checkRule(turnWithoutThumb, "~C4:2 ~D4:3 C4:2");
    checkRule(turnWithoutThumb, "F4:2 A4:3!trill G4:2");
  });

  test("notes without a finger and chords are not judged", () => {
    checkRule(turnWithoutThumb, "F4 A4:3 G4:2");
    checkRule(turnWithoutThumb, "F4:2 A4:3 G4");
    checkRule(turnWithoutThumb, "F4:2 C4:4+A4:3 G4:2");
  });

  test("a bracket over the turn, or with another finger on its top, says that by itself", () => {
    checkRule(turnWithoutThumb, "(F4:2 A4:3 G4:2)");
    checkRule(turnWithoutThumb, "(F4:4 A4:3) G4:2");
  });

  test("what comes back with the same fingers and is right there is kept", () => {
    const turn = "C4:3 D4:2 E4:1 F4:2 E4:1 D4:2 C4:3/1";
    const { text } = tinyScore(`@100 ${turn} | E4:2+G4:1/2 D4:2+F4:1/2 | ${turn}`);
    const found = (score: string): number => findingsOf(analyse(score), turnWithoutThumb).length;
    expect(found(text)).toBe(2);
    const slowAtFirst = text
      .replace('<sound tempo="100"/>', '<sound tempo="20"/>')
      .replace(/<measure number="2">/, '$&<sound tempo="100"/>');
    expect(found(slowAtFirst)).toBe(0);
  });

  test("a finger that the notes further on ask for may stay", () => {
    // The rising group is over five strings: with the thumb on top it would cost a crossing more.
    checkRule(turnWithoutThumb, "@72 C4:2 (D4:4 E4:3 F4:2 G4:1)");
  });
});
