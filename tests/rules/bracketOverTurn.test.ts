import { describe, test } from "vitest";
import { bracketOverTurn } from "../../shared/rules/bracketOverTurn.ts";
import { checkRule } from "../support/checkRule.ts";

describe("bracket-over-turn", () => {
  test("a bracket over an upper turn is split there, with the turning note in both", () => {
    checkRule(bracketOverTurn, "[(]F4:2 A4:1 G4:2)", {
      fixed: "(F4:2 (A4:1) G4:2)",
      message: "The bracket from F4 to G4 goes over the turn at A4; a placing goes one way.",
    });
  });

  test("so is one over a lower turn", () => {
    checkRule(bracketOverTurn, "[(]E4:1 C4:2 D4:1)", { fixed: "(E4:1 (C4:2) D4:1)" });
  });

  test("a long one becomes as many as it has turns", () => {
    checkRule(bracketOverTurn, "[(]C4:2 E4:1 D4:2 F4:1 E4:2 G4:1)", {
      fixed: "(C4:2 (E4:1) (D4:2) (F4:1) (E4:2) G4:1)",
    });
  });

  test("without fingers none are written", () => {
    checkRule(bracketOverTurn, "[(]F4 A4 G4)", { fixed: "(F4 (A4) G4)" });
  });

  test("fingers that make no placings are changed", () => {
    checkRule(bracketOverTurn, "[(]F4:3 A4:2 G4:3)", { fixed: "(F4:2 (A4:1) G4:2)" });
  });

  test("the other hand's bracket goes below and keeps its own number", () => {
    checkRule(bracketOverTurn, "R: (C5:2 E5:1) r // L: [(]F3:2 A3:1 G3:2) r", {
      fixed: "R: (C5:2 E5:1) r // L: (F3:2 (A3:1) G3:2) r",
    });
  });

  test("chords are above or below the notes around them, or the bracket does not go one way", () => {
    checkRule(bracketOverTurn, "(C4:3 E4:2+G4:1)");
    checkRule(bracketOverTurn, "(E4:2+G4:1 C4:3)");
    checkRule(bracketOverTurn, "[(]C4:3 E4:2+G4:1 C4:2)");
    checkRule(bracketOverTurn, "[(]C4:2+E4:1 D4:1)");
  });

  test("a hand that stays over four strings at most may play them in any order", () => {
    checkRule(bracketOverTurn, "L: (C3:3 G3:1 E3:2 G3:1)");
    checkRule(bracketOverTurn, "L: (C3:4 G3:2 E4:1 G3:2 C3:4 G3:2)");
    checkRule(bracketOverTurn, "L: (C3:3 E3:2+G3:1 E3:2+G3:1)");
  });

  test("up and back down over one shape is worth knowing", () => {
    checkRule(bracketOverTurn, "[(]C4:4 D4:3 E4:2 F4:1 E4:2 D4:3 C4:4)", {
      severity: "info",
      fixed: "(C4:4 D4:3 E4:2 (F4:1) E4:2 D4:3 C4:4)",
    });
  });

  test("a shape in which no string comes back, or without all its fingers, is worth knowing", () => {
    checkRule(bracketOverTurn, "[(]F4:3 A4:1 G4:2)", { severity: "info" });
    checkRule(bracketOverTurn, "L: [(]C3 G3 E3 G3)", { severity: "info" });
  });

  test("a shape in which a string changes its finger is none", () => {
    checkRule(bracketOverTurn, "L: [(]C3:3 G3:1 E3:2 G3:2)");
    checkRule(bracketOverTurn, "L: [(]C3:4 E3:3 G3:2 C4:1 D4:1 C4:2)");
  });

  test("the same strings again, and trills, do not turn", () => {
    checkRule(bracketOverTurn, "(C4:2 C4:1)");
    checkRule(bracketOverTurn, "(C4:3 E4:2+G4:1 E4:2+G4:1)");
    checkRule(bracketOverTurn, "(C4:2 D4:1!trill C4:2)");
  });

  test("a bracket from the pivot of a crossing may be near a turn", () => {
    checkRule(bracketOverTurn, "(C4:4 D4:3 E4:2 (F4:1) G4:3 A4:2 (B4:1) A4:2)");
    checkRule(bracketOverTurn, "[(]C4:1 D4:2 C4:1)");
  });

  test("so are a few over much music without a finger", () => {
    const bars = Array.from({ length: 12 }, () => "C4 E4 G4 E4 C4 E4 G4 E4").join(" | ");
    checkRule(bracketOverTurn, `[(]F4 A4 C5 B4 G4) r/1.5 | ${bars}`, { severity: "info" });
    checkRule(bracketOverTurn, `[(]F4 A4 C5 B4 G4) r/1.5 | ${bars.replace("C4 E4", "C4:2 E4:1")}`);
    checkRule(bracketOverTurn, `[(]F4 A4 C5 B4 G4) r/1.5 | ${bars.replace("C4 E4 G4 E4", "(C4 E4) G4 E4")}`);
  });

  test("long lines over music without any placing bracket are more likely a line of analysis", () => {
    checkRule(bracketOverTurn, "[(]C4 D4 E4 F4 G4 F4 E4 D4 C4 D4)", { severity: "info" });
    checkRule(bracketOverTurn, "[(]C4 D4 E4 F4 G4 F4 E4 D4 C4 D4) (E4 F4)", { severity: "warning" });
  });
});
