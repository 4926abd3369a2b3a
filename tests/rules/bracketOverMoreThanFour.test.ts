import { describe, test } from "vitest";
import { bracketOverMoreThanFour } from "../../shared/rules/bracketOverMoreThanFour.ts";
import { checkRule } from "../support/checkRule.ts";
import { tinyScore } from "../support/tinyScore.ts";

describe("bracket-over-more-than-four", () => {
  test("six notes under one bracket are split where the fingers cross", () => {
    checkRule(bracketOverMoreThanFour, "[(]C4:3 D4:2 E4:1 F4:3 G4:2 A4:1)", {
      fixed: "(C4:3 D4:2 (E4:1) F4:3 G4:2 A4:1)",
      message: "The bracket from C4 to A4 is over six notes; a placing has at most four.",
    });
  });

  test("without fingers the search says where; none are written", () => {
    checkRule(bracketOverMoreThanFour, "[(]C4 D4 E4 F4 G4 A4 B4 C5)", {
      fixed: "(C4 D4 E4 (F4) G4 A4 B4 C5)",
    });
    checkRule(bracketOverMoreThanFour, "[(]C5 B4 A4 G4 F4 E4 D4 C4)", {
      fixed: "(C5 B4 A4 (G4) F4 E4 D4 C4)",
    });
  });

  test("notes of chords count", () => {
    checkRule(bracketOverMoreThanFour, "[(]C4 E4+G4 C5+E5)");
    checkRule(bracketOverMoreThanFour, "(C4 E4 G4+C5)");
  });

  test("four notes are a placing, and five from the pivot of a crossing", () => {
    checkRule(bracketOverMoreThanFour, "(C4:4 D4:3 E4:2 F4:1)");
    checkRule(bracketOverMoreThanFour, "(C4:4 D4:3 E4:2 (F4:1) G4:4 A4:3 B4:2 C5:1)");
    checkRule(bracketOverMoreThanFour, "(C4 D4 E4 (F4) G4 A4 B4 C5)");
    checkRule(bracketOverMoreThanFour, "C4:1 (D4:1 E4:4 F4:3 G4:2 A4:1)");
  });

  test("five notes from a pivot that is none are too many", () => {
    checkRule(bracketOverMoreThanFour, "[(]C4:4 D4:3 E4:2 F4:1 G4:2)");
    checkRule(bracketOverMoreThanFour, "(C4:4 D4:3 E4:2 [(]F4:1) G4:4 A4:3 B4:2 C5:1 D5:1)");
  });

  test("a slide adds a note", () => {
    checkRule(bracketOverMoreThanFour, "(G4:1 F4:1 E4:2 D4:3 C4:4)");
    checkRule(bracketOverMoreThanFour, "(C4:4 D4:4 E4:3 F4:2 G4:1)");
    checkRule(bracketOverMoreThanFour, "(G4!slide F4 E4 D4 C4)");
    checkRule(bracketOverMoreThanFour, "[(]A4 G4!slide F4 E4 D4 C4)");
  });

  test("the same string again is no further note", () => {
    checkRule(bracketOverMoreThanFour, "(C4:2 C4:1 C4:2 C4:1 C4:2)");
    checkRule(bracketOverMoreThanFour, "(C4 C4 D4 E4 F4)");
  });

  test("a line for words is no placing", () => {
    const { text } = tinyScore("(C4 D4 E4 F4 G4 A4)");
    const words = "$&</direction-type><direction-type><words>rall.</words>";
    checkRule(bracketOverMoreThanFour, text.replace(/<bracket type="start"[^>]*>/, words));
  });

  test("a turn is another matter", () => {
    checkRule(bracketOverMoreThanFour, "(C4:4 D4:3 E4:2 F4:1 E4:2 D4:3)");
  });

  test("long lines over music without any placing bracket are more likely a line of analysis", () => {
    checkRule(bracketOverMoreThanFour, "[(]C4 D4 E4 F4 G4 A4 B4 C5 D5)", { severity: "info" });
    checkRule(bracketOverMoreThanFour, "[(]C4 D4 E4 F4 G4 A4 B4 C5 D5) (C5 B4)");
  });
});
