import { describe, expect, test } from "vitest";
import { defaultWeights } from "../../shared/fingering/weights.ts";
import { reachBeyondHand } from "../../shared/rules/reachBeyondHand.ts";
import { reachOf } from "../../shared/rules/support/reach.ts";
import { checkRule } from "../support/checkRule.ts";
import { tinyScore } from "../support/tinyScore.ts";

const caution = "Stop on pain; a teacher's or clinician's word goes first.";

describe("reach-beyond-hand", () => {
  test("fingers that do not reach so far are an error; others that do are found", () => {
    checkRule(reachBeyondHand, "C4:3+E5:[1]", {
      fixed: "C4:4+E5:1",
      message:
        "C4 (3) to E5 (1) is a tenth: too wide for the chosen hand profile, which reaches at most a ninth between 3 and 1.",
    });
    checkRule(reachBeyondHand, "(C4:2 C5:[1])", { fixed: "(C4:4 C5:1)" });
    checkRule(reachBeyondHand, "C4:4+G4:3+C5:[2]", { fixed: "C4:4+G4:2+C5:1" });
  });

  test("beyond comfort is a warning, with the caution", () => {
    checkRule(reachBeyondHand, "C4:4+F5:[1]", {
      severity: "warning",
      message: `C4 (4) to F5 (1) is an eleventh: wide for the chosen hand profile, comfortable up to a tenth between 4 and 1. Consider rolling or sharing it between the hands. ${caution}`,
    });
    checkRule(reachBeyondHand, "C4:3+C5:[1]", { severity: "warning", fixed: "C4:4+C5:1" });
  });

  test("without fingers the widest pair, thumb and 4, is meant", () => {
    checkRule(reachBeyondHand, "C4+E5");
    checkRule(reachBeyondHand, "C4+[G5]", { severity: "warning" });
    checkRule(reachBeyondHand, "C4+E4+[A5]", {
      severity: "error",
      message: "C4 to A5 is a span of 13 strings",
    });
  });

  test("a rolled chord may be two steps wider", () => {
    checkRule(reachBeyondHand, "C4+G4+G5!roll");
    checkRule(reachBeyondHand, "C4+G4+[B5]!roll", { severity: "warning", message: "Consider sharing it" });
    checkRule(reachBeyondHand, "C4+G4+[C6]!roll", { severity: "error" });
    checkRule(reachBeyondHand, "C4+G4+[G5]!struck", { severity: "warning" });
  });

  test("a bracket too wide for any fingers is placed anew", () => {
    checkRule(reachBeyondHand, "(C4:4 G4:2 A5:[1])", { severity: "error", fixed: "C4:2 (G4:4 A5:1)" });
  });

  // Common practice, no source: the chord shapes that every harpist uses.
  test.each([
    "C4:2+E4:1",
    "C4:3+G4:1",
    "C4:3+A4:1",
    "C4:4+B4:1",
    "C4:4+E5:1",
    "C4:3+E4:2+G4:1",
    "C4:3+F4:2+A4:1",
    "C4:4+E4:3+C5:1",
    "C4:4+G4:2+C5:1",
    "C4:4+F4:2+C5:1",
    "L: C3:4+G3:2+E4:1",
    "L: C3:4+A3:2+E4:1",
    "C4:4+E4:3+G4:2+C5:1",
    "C4:4+F4:3+A4:2+C5:1",
  ])("the usual shape %s is no wide reach", (shape) => {
    checkRule(reachBeyondHand, shape);
  });

  test("the hard spot of a shape that needs all its fingers is worth knowing", () => {
    checkRule(reachBeyondHand, "L: C3:4+G3:[3]+B3:2+E4:1", { severity: "info" });
  });

  test("fingers out of order say nothing about a reach", () => {
    checkRule(reachBeyondHand, "C4:1+G4:2");
    checkRule(reachBeyondHand, "C4:2+C5:2");
  });

  // MusicXML 4.0, octave-shift: pitch elements hold what sounds, the shift only changes where it is printed.
  test("an 8va sign changes the print and not the reach", () => {
    const shift =
      '<direction><direction-type><octave-shift type="down" size="8"/></direction-type></direction>\n      <note>';
    checkRule(reachBeyondHand, tinyScore("C4/4:4+C5:1").text.replace("<note>", shift));
  });

  test("harmonics may sound elsewhere than they are written", () => {
    checkRule(reachBeyondHand, "C3+C6!harmonic");
  });

  test("a wide placing without the thumb on top is told of its thumb", () => {
    checkRule(reachBeyondHand, "C4:4+A4:2");
  });

  test("the profile decides", () => {
    const stretch = { ...defaultWeights.stretch, "1-4": { 6: 0, 7: 0, 8: 300 } };
    checkRule(reachBeyondHand, "C4:4+E5:[1]", { settings: { weights: { ...defaultWeights, stretch } } });
  });

  // Common practice, no source; a tenth as safe reach: a conservatoire's harp notation notes, hand position.
  test("comfort and reach of the default profile, in steps", () => {
    const pairs = [
      [1, 2],
      [1, 3],
      [1, 4],
      [2, 3],
      [3, 4],
      [2, 4],
    ] as const;
    expect(pairs.map(([a, b]) => reachOf(defaultWeights, a, b))).toEqual([
      { possible: 6, comfortable: 5 },
      { possible: 8, comfortable: 6 },
      { possible: 11, comfortable: 9 },
      { possible: 4, comfortable: 3 },
      { possible: 4, comfortable: 3 },
      { possible: 6, comfortable: 5 },
    ]);
  });
});
