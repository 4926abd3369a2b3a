import { describe, expect, test } from "vitest";
import { sameFingerTwiceInChord } from "../../shared/rules/sameFingerTwiceInChord.ts";
import { analyse } from "../../shared/service/analyse.ts";
import { checkRule } from "../support/checkRule.ts";
import { tinyScore } from "../support/tinyScore.ts";

describe("same-finger-twice-in-chord", () => {
  test("two notes of a chord with one finger are reported at the upper one, and the chord fingered anew", () => {
    checkRule(sameFingerTwiceInChord, "C4:3+E4:2+G4:[2]", {
      fixed: "C4:3+E4:2+G4:1",
      message: "E4 and G4 both have finger 2: one finger for more than one note of a chord.",
    });
  });

  test("all notes with one finger are one finding", () => {
    checkRule(sameFingerTwiceInChord, "C4:1+E4:[1]+G4:1", {
      fixed: "C4:3+E4:2+G4:1",
      message: "C4, E4 and G4 all have finger 1: one finger for more than one note of a chord.",
    });
  });

  test("the notes count, not their order in the file", () => {
    checkRule(sameFingerTwiceInChord, "G4:[2]+C4:3+E4:2", { fixed: "G4:1+C4:3+E4:2" });
  });

  test("only notes that have a finger get another", () => {
    checkRule(sameFingerTwiceInChord, "C4:1+E4+G4:[1]", { fixed: "C4:3+E4+G4:1" });
  });

  test("a chord in a placing is fingered to fit the placing", () => {
    checkRule(sameFingerTwiceInChord, "(C4:3 E4:2+G4:[2] C5:1)", { fixed: "(C4:4 E4:3+G4:2 C5:1)" });
  });

  test("each hand has its own fingers", () => {
    checkRule(sameFingerTwiceInChord, "R: C5/4:2+E5:1 // L: C3/4:2+E3:1");
  });

  test("notes of two voices on one string are one note", () => {
    checkRule(sameFingerTwiceInChord, "R: C4/4:1 // R: C4:1 D4 E4 F4");
  });

  test("two voices of one hand that sound together are one chord", () => {
    checkRule(sameFingerTwiceInChord, "R: E4/4:[2] // R: C4:2 D4 E4 F4");
  });

  test("a chord for both hands on one staff is left alone while the other hand is free", () => {
    checkRule(sameFingerTwiceInChord, "C3:2+E3:1+C4:2+E4:1");
    checkRule(sameFingerTwiceInChord, "R: C4/4:2+E4:1+G4:2+C5:1 // L: r/4");
    checkRule(sameFingerTwiceInChord, "R: C4/4:2+E4:1+G4:[2]+C5:1 // L: C3/4:1");
  });

  test("a finger that slides over two strings may be printed at both", () => {
    checkRule(sameFingerTwiceInChord, "C4:1+D4:1!slide");
  });

  test("fingers all on the first note of a chord tell nothing of the single notes", () => {
    checkRule(sameFingerTwiceInChord, "C4:3,2,1+E4+G4");
  });

  test("how far those fingers would reach is not told of besides", () => {
    const { findings } = analyse(tinyScore("B4/4:2+F#5:2+B5:1").text);
    expect(findings.map(({ rule }) => rule)).toEqual(["same-finger-twice-in-chord"]);
  });
});
