import { describe, test } from "vitest";
import { bothHandsOnOneString } from "../../shared/rules/bothHandsOnOneString.ts";
import { checkRule } from "../support/checkRule.ts";
import { tinyScore } from "../support/tinyScore.ts";

// A quarter of a second: common practice, no source. At 120 quarters a minute a sixteenth takes 0.125 s.
describe("both-hands-on-one-string", () => {
  test("a string that the other hand has just left is reported where it is plucked again", () => {
    checkRule(bothHandsOnOneString, "R: @120 r/0.25 [G4/0.25] r/3.5 // L: G4/0.25 D4/0.25 r/3.5", {
      message: "The right hand plucks G4 0.13 s after the left hand",
    });
    checkRule(bothHandsOnOneString, "R: @120 G4/0.25:1 D5/0.25:1 r/3.5 // L: r/0.25 D4/0.25+G4:[1] r/3.5");
  });

  test("with less than a finger's time between them it cannot be played", () => {
    checkRule(bothHandsOnOneString, "R: @160 r/0.125 [G4/0.125] r/3.75 // L: G4/0.125 D4/0.125 r/3.75", {
      severity: "error",
    });
    checkRule(bothHandsOnOneString, "R: @? r/0.125/2 [G4/0.125/2] // L: G4/0.125/2 D4/0.125/2", {
      severity: "warning",
      message: "0.04 s at the assumed tempo",
    });
  });

  test("a quarter of a second is enough", () => {
    checkRule(bothHandsOnOneString, "R: @120 r/0.5 G4/0.5 r/3 // L: G4/0.5 D4/0.5 r/3");
  });

  test("a unison in both staves is played by one hand; fingers for both are remarked", () => {
    checkRule(bothHandsOnOneString, "R: G4/4 // L: G4/4");
    checkRule(bothHandsOnOneString, "R: G4/4:1 // L: G4/4");
    checkRule(bothHandsOnOneString, "R: G4/4:1 // L: G4/4:[1]", {
      severity: "info",
      message: "Both hands have a finger for G4",
    });
  });

  test("a note that is tied to the other hand's is not plucked again", () => {
    checkRule(bothHandsOnOneString, "R: @120 G4/0.25_ G4/0.25 r/3.5 // L: r/0.25 D4/0.25 r/3.5");
  });

  test("a string that goes to and fro between the hands is shared on purpose", () => {
    checkRule(
      bothHandsOnOneString,
      "R: @120 G4/0.25 r/0.25 G4/0.25 r/3.25 // L: r/0.25 G4/0.25 r/0.25 G4/0.25 r/3",
    );
  });

  test("grace notes, tremolos and trills have times of their own", () => {
    checkRule(bothHandsOnOneString, "R: @120 ~G4 A4/4 // L: G4/4");
    checkRule(bothHandsOnOneString, "R: @120 r/0.25 G4/0.25!tremolo r/3.5 // L: G4/0.25 D4/0.25 r/3.5");
  });

  test("two harps in one part are two players", () => {
    const score = "R: @120 r/0.25 G4/0.25 r/3.5 // L: G4/0.25 D4/0.25 r/3.5";
    for (const name of ["Harps", "Harp 1 &amp; 2", "Harp I, II"]) {
      checkRule(bothHandsOnOneString, partNamed(score, name));
    }
    checkRule(
      bothHandsOnOneString,
      partNamed(score, "Harp 1").replace(marked, "$& <!-- expect both-hands-on-one-string -->"),
    );
  });
});

const marked =
  /<note>(?=\s*<pitch>\s*<step>G<\/step>\s*<octave>4<\/octave>\s*<\/pitch>\s*<duration>12<\/duration>\s*<voice>1<)/;

function partNamed(notation: string, name: string): string {
  return tinyScore(notation).text.replace("<part-name>Harp<", `<part-name>${name}<`);
}
