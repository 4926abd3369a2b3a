import { describe, test } from "vitest";
import { defaultWeights } from "../../shared/fingering/weights.ts";
import { unusualIntervalFingers } from "../../shared/rules/unusualIntervalFingers.ts";
import { checkRule } from "../support/checkRule.ts";

describe("unusual-interval-fingers", () => {
  // Common practice, no source; sixths with 1 and 3: a learner's page on playing sixths.
  test.each([
    ["C4:[3]+D4:1", "C4:2+D4:1"],
    ["C4:[3]+E4:1", "C4:2+E4:1"],
    ["C4:[4]+F4:1", "C4:2+F4:1"],
    ["C4:[2]+G4:1", "C4:3+G4:1"],
    ["C4:[4]+G4:1", "C4:3+G4:1"],
    ["C4:[2]+A4:1", "C4:3+A4:1"],
    ["C4:[3]+B4:1", "C4:4+B4:1"],
  ])("the interval %s is usually %s", (printed, usual) => {
    checkRule(unusualIntervalFingers, printed, { fixed: usual });
    checkRule(unusualIntervalFingers, usual);
  });

  test("a placing of two notes counts like a chord, in both directions and hands", () => {
    checkRule(unusualIntervalFingers, "(C4:[3] E4:1)", { fixed: "(C4:2 E4:1)" });
    checkRule(unusualIntervalFingers, "(G4:1 C4:[2])", { fixed: "(G4:1 C4:3)" });
    checkRule(unusualIntervalFingers, "L: (C3:[3] E3:1)", { fixed: "L: (C3:2 E3:1)" });
  });

  test("it says which fingers are usual", () => {
    checkRule(unusualIntervalFingers, "C4:[3]+E4:1", {
      message: "C4 and E4, a third, have fingers 3 and 1; 2 and 1 are usual and as easy here.",
    });
  });

  test("shapes within a bigger placing have their own fingers", () => {
    checkRule(unusualIntervalFingers, "(C4:4 D4:3 E4:1)");
    checkRule(unusualIntervalFingers, "(C4:4 E4:3+G4:1)");
    checkRule(unusualIntervalFingers, "C4:3+E4:2+G4:1");
  });

  test("a note that another bracket shares has the finger that fits there", () => {
    checkRule(unusualIntervalFingers, "(E4:1 (C4:3) D4:2 E4:1)");
    checkRule(unusualIntervalFingers, "(A4:1 F4:2 E4:3 (C4:4) E4:1)");
  });

  test("nothing is said without the thumb, without fingers, or where the reach is too wide", () => {
    checkRule(unusualIntervalFingers, "C4:4+E4:2");
    checkRule(unusualIntervalFingers, "C4+E4:1");
    checkRule(unusualIntervalFingers, "C4:3+C5:1");
    checkRule(unusualIntervalFingers, "C4:1+E4:2");
  });

  test("harmonics, trills and slides are played otherwise", () => {
    checkRule(unusualIntervalFingers, "C4:3+E4:1!harmonic");
    checkRule(unusualIntervalFingers, "C4:3+E4:1!trill");
  });

  test("the profile says what is usual: fifths under 2 and 1", () => {
    const stretch = {
      ...defaultWeights.stretch,
      "1-2": { ...defaultWeights.stretch["1-2"], 4: 0 },
      "1-3": { ...defaultWeights.stretch["1-3"], 4: 600 },
    };
    const settings = { weights: { ...defaultWeights, stretch } };
    checkRule(unusualIntervalFingers, "C4:2+G4:1", { settings });
    checkRule(unusualIntervalFingers, "C4:[3]+G4:1", { settings, fixed: "C4:2+G4:1" });
  });
});
