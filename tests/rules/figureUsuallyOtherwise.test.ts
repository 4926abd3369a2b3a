import { describe, expect, test } from "vitest";
import { figureUsuallyOtherwise } from "../../shared/rules/figureUsuallyOtherwise.ts";
import { analyse } from "../../shared/service/analyse.ts";
import { checkRule } from "../support/checkRule.ts";
import { tinyScore } from "../support/tinyScore.ts";

const usual = "C4:3+F4:2+A4:1 r C4:3+F4:2+A4:1 r D4:3+G4:2+B4:1 r D4:3+G4:2+B4:1 r |";

describe("figure-usually-otherwise", () => {
  test("a chord that has other fingers than its shape has elsewhere is told of", () => {
    checkRule(figureUsuallyOtherwise, `${usual} E4:[4]+A4:2+C5:1`, {
      fixed: `${usual} E4:3+A4:2+C5:1`,
      message: "E4-A4-C5 has 4-2-1, the same shape elsewhere 3-2-1 (4 places); that would do as well here.",
    });
  });

  test("so is a group under a bracket", () => {
    const group = "(C4:3 F4:2 A4:1) r/2.5 | (D4:3 G4:2 B4:1) r/2.5 |";
    checkRule(figureUsuallyOtherwise, `${group} ${group} (E4:[4] A4:2 C5:1) r/2.5`, {
      fixed: `${group} ${group} (E4:3 A4:2 C5:1) r/2.5`,
    });
  });

  test("few places, or places that differ among themselves, show no habit", () => {
    checkRule(figureUsuallyOtherwise, "C4:3+F4:2+A4:1 r C4:3+F4:2+A4:1 r D4:3+G4:2+B4:1 r | E4:4+A4:2+C5:1");
    checkRule(figureUsuallyOtherwise, `${usual} E4:4+A4:2+C5:1 r E4:4+A4:2+C5:1 r`);
  });

  test("where the usual fingers would cost more here, the others are right", () => {
    const group = "(C4:3 F4:2 A4:1) r/2.5 | (D4:3 G4:2 B4:1) r/2.5 |";
    checkRule(figureUsuallyOtherwise, `${group} ${group} (A4:1 G4:2 F4:3 (E4:4) A4:2 C5:1)`);
  });

  test("other hands, rolled chords and other shapes have habits of their own", () => {
    checkRule(figureUsuallyOtherwise, `${usual} E4:4+A4:2+C5:1!roll`);
    checkRule(figureUsuallyOtherwise, `R: ${usual} r // L: r/4 | E3:4+A3:2+C4:1`);
    checkRule(figureUsuallyOtherwise, `${usual} E4:4+G4:2+C5:1`);
  });

  test("what another rule names is not told twice", () => {
    const { findings } = analyse(tinyScore(`${usual} E4:4+A4:3+C5:2`).text);
    expect(findings.map(({ rule }) => rule)).toContain("thumb-not-on-top");
    expect(findings.map(({ rule }) => rule)).not.toContain("figure-usually-otherwise");
  });
});
