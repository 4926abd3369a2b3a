import { describe, test } from "vitest";
import { crossingOverSkip } from "../../shared/rules/crossingOverSkip.ts";
import { checkRule } from "../support/checkRule.ts";

describe("crossing-over-skip", () => {
  test("the joint moves to neighbouring strings", () => {
    checkRule(crossingOverSkip, "C4:2 D4:1 F4:[3] G4:2 A4:1 G4:2", {
      fixed: "C4:3 D4:2 F4:1 G4:2 A4:1 G4:2",
    });
  });

  test("downwards too, and the message says where", () => {
    checkRule(crossingOverSkip, "A4:1 G4:2 F4:3 D4:[1] C4:2 D4:1", {
      message: "The fingers cross over a third between F4 (3) and D4 (1); easier between",
    });
  });

  test("with brackets these are drawn anew", () => {
    checkRule(crossingOverSkip, "(C4:2 (D4:1) F4:[3] G4:2 (A4:1) G4:2)", {
      fixed: "(C4:3 D4:2 (F4:1) G4:2 (A4:1) G4:2)",
    });
  });

  // Common practice, no source: the natural joint of a long arpeggio falls on a skip.
  test("an arpeggio has no neighbouring strings to cross between", () => {
    checkRule(crossingOverSkip, "C4:3 E4:2 G4:1 C5:3 E5:2 G5:1");
    checkRule(crossingOverSkip, "C4:4 E4:3 G4:2 C5:1 E5:4 G5:3 C6:2 E6:1");
  });

  test("nor has it at speed", () => {
    checkRule(crossingOverSkip, "@160 C4/0.25:3 E4/0.25:2 G4/0.25:1 B4/0.25:3 D5/0.25:2 F5/0.25:1 r/2.5");
  });

  test("with time the hand comes off, and beyond a fourth nothing crosses", () => {
    checkRule(crossingOverSkip, "@40 C4/1:2 D4/1:1 F4/1:3 G4/1:2 | A4/1:1 G4/1:2");
    checkRule(crossingOverSkip, "C4:2 D4:1 A4:3 B4:2 C5:1 B4:2");
  });

  test("brackets that do not reach over a skip say to come off there", () => {
    checkRule(crossingOverSkip, "(C4:2 D4:1) (F4:3 G4:2 A4:1) G4:2");
  });

  test("between neighbours crossings are right", () => {
    checkRule(crossingOverSkip, "C4:4 D4:3 E4:2 F4:1 G4:4 A4:3 B4:2 C5:1");
    checkRule(crossingOverSkip, "C4:3 D4:2 F4:1 G4:2 A4:1 G4:2");
  });

  test("notes without a finger, trills and slides are not judged", () => {
    checkRule(crossingOverSkip, "C4:2 D4 F4:3 G4:2 A4:1 G4:2");
    checkRule(crossingOverSkip, "C4:2 D4:1!trill F4:3 G4:2 A4:1 G4:2");
  });
});
