import { describe, test } from "vitest";
import { moreThanFourAtOnce } from "../../shared/rules/moreThanFourAtOnce.ts";
import { checkRule } from "../support/checkRule.ts";

describe("more-than-four-at-once", () => {
  test("five notes in one hand are reported at the note that is left over", () => {
    checkRule(moreThanFourAtOnce, "R: [C4/4]+E4+G4+B4+D5 // L: C3/4", {
      message: "Five notes at once (C4, E4, G4, B4 and D5) in the right hand, which has four fingers.",
    });
    checkRule(moreThanFourAtOnce, "R: C5/4 // L: C3/4+E3+G3+B3+[D4]");
  });

  test("it says when the other hand is free", () => {
    checkRule(moreThanFourAtOnce, "R: [C4/4]+E4+G4+B4+D5 // L: r C3", {
      message: "The other hand is free here.",
    });
  });

  test("a roll does not give the hand a fifth finger", () => {
    checkRule(moreThanFourAtOnce, "R: [C4/4]+E4+G4+B4+D5!roll // L: C3/4");
  });

  test("one staff by itself may be meant for both hands, up to eight notes", () => {
    checkRule(moreThanFourAtOnce, "[C4]+E4+G4+B4+D5", { severity: "warning" });
    checkRule(moreThanFourAtOnce, "C4+D4+E4+F4+[G4]+A4+B4+C5+D5", { severity: "error" });
  });

  test("fingers for two hands say who plays what", () => {
    checkRule(moreThanFourAtOnce, "C3:3+E3:2+G3:1+C4:2+E4:1");
    checkRule(moreThanFourAtOnce, "R: C4/4:1+E4:4+G4:3+B4:2+D5:1 // L: r/4");
  });

  test("four notes, voices that double a string, and grace notes before a chord are within the hand", () => {
    checkRule(moreThanFourAtOnce, "C4+E4+G4+B4");
    checkRule(moreThanFourAtOnce, "R: C4+E4+G4+B4 // R: C4 E4");
    checkRule(moreThanFourAtOnce, "~A4+B4 C4+E4+G4+B4");
  });

  test("tied notes are not plucked again", () => {
    checkRule(moreThanFourAtOnce, "R: C4_+E4_ C4+E4 // R: r A4+B4+D5+F5");
  });
});
