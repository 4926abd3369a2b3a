import { describe, test } from "vitest";
import { interlockedHands } from "../../shared/rules/interlockedHands.ts";
import { checkRule } from "../support/checkRule.ts";
import { tinyScore } from "../support/tinyScore.ts";

describe("interlocked-hands", () => {
  test("the right hand between strings of the left is reported there", () => {
    checkRule(interlockedHands, "R: [F4/4] // L: C4/4+E4+G4+C5", {
      message:
        "The right hand plays F4 inside the left hand's C4-E4-G4-C5: the hands are interlocked, with the right thumb the lower.",
    });
  });

  test("so is a note under a bracket that the left hand still holds", () => {
    checkRule(interlockedHands, "R: r/1 [F4/1] r/2 // L: (C4/1:4 E4/1:3 G4/1:2 C5/1:1)");
    checkRule(interlockedHands, "R: r/1 F4/1 r/2 // L: C4/1:4 E4/1:3 G4/1:2 C5/1:1");
  });

  test("a stretch of them is told of once", () => {
    checkRule(interlockedHands, "R: [F4] F4 D4 // L: C4+E4+G4+C5 C4+E4+G4+C5 C4+E4+G4+C5", {
      message: "So are they at the next 2 places.",
    });
  });

  test("the left hand inside the right keeps its thumb below, and a little overlap is common", () => {
    checkRule(interlockedHands, "R: C4/4+C5 // L: F4/4");
    checkRule(interlockedHands, "R: F4/4 // L: C4/4+E4+G4");
  });

  test("hands that cross are not interlocked", () => {
    checkRule(interlockedHands, "R: C3/4 // L: C4/4+E4+G4");
    checkRule(interlockedHands, "R: F4/4 // L: C3/4+G3 r");
  });

  test("a crossing that words ask for is meant", () => {
    checkRule(interlockedHands, "R: <over>F4/4 // L: C4/4+E4+G4+C5");
    checkRule(interlockedHands, "R: F4/4 // L: <m.g. dessus>C4/4+E4+G4+C5");
    checkRule(interlockedHands, "R: <sotto voce>[F4/4] // L: C4/4+E4+G4+C5");
  });

  test("so is a grace note; and two harps are two players", () => {
    checkRule(interlockedHands, "R: ~F4 C5/4 // L: C4/4+E4+G4+C5");
    checkRule(interlockedHands, tinyScore("R: F4/4 // L: C4/4+E4+G4+C5").text.replace(">Harp<", ">Harps<"));
  });
});
