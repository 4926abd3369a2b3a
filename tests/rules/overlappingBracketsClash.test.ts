import { describe, test } from "vitest";
import { overlappingBracketsClash } from "../../shared/rules/overlappingBracketsClash.ts";
import { checkRule } from "../support/checkRule.ts";

describe("overlapping-brackets-clash", () => {
  test("brackets that share two notes are grouped anew", () => {
    checkRule(overlappingBracketsClash, "(C4:4 D4:3 [(]E4:2 F4:1) G4:1)", {
      message: "The brackets from C4 to F4 and from E4 to G4 share more than one note.",
    });
    checkRule(overlappingBracketsClash, "L: (C3:4 E3:3 [(]G3:2 C4:1) E4)", { fixes: 1 });
    checkRule(overlappingBracketsClash, "(C4:3 [(]D4:2 E4:1)) r", {
      message: "The bracket from D4 to E4 lies within the one from C4 to E4.",
      fixed: "(C4:3 D4:2 E4:1) r",
    });
  });

  test("where the line goes on, brackets meet only to cross", () => {
    checkRule(overlappingBracketsClash, "(C4:4 D4:3 [(]E4:2) F4:1)", {
      fixed: "(C4:4 D4:3 E4:2 F4:1)",
      message:
        "The brackets from C4 to E4 and from E4 to F4 meet on E4 (2), but the fingers do not cross to F4 (1).",
    });
  });

  test("two over the same notes are one too many", () => {
    checkRule(overlappingBracketsClash, "([(]C4:3 D4:2 E4:1)) r", { fixed: "(C4:3 D4:2 E4:1) r" });
  });

  test("on the turning note one ends and the next begins", () => {
    checkRule(overlappingBracketsClash, "(C4:3 D4:2 (E4:1) D4:2 C4:3)");
    checkRule(overlappingBracketsClash, "(E4:1 (C4:2) D4:1)");
    checkRule(overlappingBracketsClash, "(C4 D4 (E4) D4 C4)");
  });

  test("a crossing is drawn from its pivot, from the next note, or with a small bracket", () => {
    checkRule(overlappingBracketsClash, "(C4:4 D4:3 E4:2 (F4:1) G4:4 A4:3 B4:2 C5:1)");
    checkRule(overlappingBracketsClash, "(C4:4 D4:3 E4:2 F4:1) (G4:4 A4:3 B4:2 C5:1)");
    checkRule(overlappingBracketsClash, "(C4:4 D4:3 E4:2 (F4:1) (G4:4) A4:3 B4:2 C5:1)");
    checkRule(overlappingBracketsClash, "(C5:1 B4:2 A4:3 (G4:4) (F4:1) E4:2 D4:3 C4:4)");
    checkRule(overlappingBracketsClash, "(C4 D4 E4 (F4) G4 A4 B4 C5)");
  });

  test("brackets that are no placings by themselves have their own rules", () => {
    checkRule(overlappingBracketsClash, "(F4:2 A4:1 (G4:2) F4:3)");
    checkRule(overlappingBracketsClash, "(C4 D4 E4 (F4 G4 A4) B4)");
  });
});
