import { describe, test } from "vitest";
import { thumbNotOnTop } from "../../shared/rules/thumbNotOnTop.ts";
import { checkRule } from "../support/checkRule.ts";

describe("thumb-not-on-top", () => {
  test("a placing whose highest note has another finger is reported there and fingered anew", () => {
    checkRule(thumbNotOnTop, "(C4:4 D4:3 E4:[2])", {
      fixed: "(C4:3 D4:2 E4:1)",
      message: "E4 is the highest of C4, D4 and E4 under one bracket and has finger 2, not the thumb.",
    });
    checkRule(thumbNotOnTop, "(E4:[2] D4:3 C4:4)", { fixed: "(E4:1 D4:2 C4:3)" });
    checkRule(thumbNotOnTop, "L: (C3:4 G3:[2])", { fixed: "L: (C3:3 G3:1)" });
  });

  test("so is a chord", () => {
    checkRule(thumbNotOnTop, "C4:3+E4:[2]", { fixed: "C4:2+E4:1" });
    checkRule(thumbNotOnTop, "C4:4+E4:3+G4:[2]", { fixed: "C4:3+E4:2+G4:1" });
  });

  test("only notes that have a finger get another", () => {
    checkRule(thumbNotOnTop, "C4:4+E4+G4:[2]", { fixed: "C4:3+E4+G4:1" });
  });

  test("a turning note keeps one finger for both its brackets", () => {
    checkRule(thumbNotOnTop, "(C4:3 (E4:[2]) D4:3)", { fixed: "(C4:2 (E4:1) D4:3)" });
  });

  test("the thumb may be saved for a higher note just before or after", () => {
    checkRule(thumbNotOnTop, "(C4:4 D4:3 E4:2) F4:1");
    checkRule(thumbNotOnTop, "F4:1 (E4:2 D4:3 C4:4)");
    checkRule(thumbNotOnTop, "C4:4+E4:2 G4:1");
  });

  test("or for one that it still holds", () => {
    checkRule(thumbNotOnTop, "R: C5/4:1 // R: r C4:3+E4:2 C4:3+E4:2 C4:3+E4:2");
    checkRule(thumbNotOnTop, "R: C5:1 r/3.5 // R: r/2 C4:3+E4:[2] r/1.5");
  });

  test("the thumb may be needed on the same string next", () => {
    checkRule(thumbNotOnTop, "@150 C4/0.25:3 (D4/0.25:3 E4/0.25:2) E4/0.25:1");
  });

  test("a single note, harmonics, trills and notes without a finger are nothing to report", () => {
    checkRule(thumbNotOnTop, "C4:2 r C4:3 r");
    checkRule(thumbNotOnTop, "(C4:3 E4:2!harmonic)");
    checkRule(thumbNotOnTop, "(C4:3 E4:2!trill)");
    checkRule(thumbNotOnTop, "(C4:3 D4:2 E4)");
    checkRule(thumbNotOnTop, "(C4:3 D4:2 E4:23)");
  });

  test("fingers that are wrong in another way are told of that", () => {
    checkRule(thumbNotOnTop, "(C4:1 D4:2 E4:3)");
    checkRule(thumbNotOnTop, "C4:2+E4:2");
    checkRule(thumbNotOnTop, "C4:4+C5:2");
    checkRule(thumbNotOnTop, "(F4:2 A4:3 G4:4)");
  });

  test("a group reached by crossing has its own top", () => {
    checkRule(thumbNotOnTop, "(C4:4 D4:3 E4:2 (F4:1) G4:3 A4:2 B4:1)");
    checkRule(thumbNotOnTop, "(C5:1 B4:2 A4:3 (G4:4) F4:1 E4:2)");
    checkRule(thumbNotOnTop, "(C4:4 D4:3 E4:2 (F4:1) G4:4 A4:3 B4:[2])");
  });
});
