import { describe, expect, test } from "vitest";
import { sameFingerTooSoon } from "../../shared/rules/sameFingerTooSoon.ts";
import { analyse } from "../../shared/service/analyse.ts";
import { checkRule, findingsOf } from "../support/checkRule.ts";
import { tinyScore } from "../support/tinyScore.ts";

describe("same-finger-too-soon", () => {
  test("two strings in a row with one finger are fingered anew", () => {
    checkRule(sameFingerTooSoon, "C4:2 D4:[2] E4:1", {
      fixed: "C4:3 D4:2 E4:1",
      message:
        "C4 and D4 have finger 2 one after the other, 0.3 s apart; a finger wants about 0.45 s to get to another string.",
    });
    checkRule(sameFingerTooSoon, "L: E3:1 G3:[1] r", { fixed: "L: E3:2 G3:1 r" });
  });

  test("a whole run of them is one finding", () => {
    checkRule(sameFingerTooSoon, "C4:2 D4:[2] E4:2 F4:2", {
      fixed: "C4:4 D4:3 E4:2 F4:1",
      message: "C4, D4, E4 and F4 have finger 2",
    });
  });

  test("too fast for any finger is an error", () => {
    checkRule(sameFingerTooSoon, "@160 C4/0.25:2 D4/0.25:[2] r/3.5", {
      severity: "error",
      fixed: "@160 C4/0.25:2 D4/0.25:1 r/3.5",
      message: "too fast to reach another string with one finger",
    });
  });

  test("a chord and a note beside it", () => {
    checkRule(sameFingerTooSoon, "C4:2+E4:1 G4:[1] r", { fixed: "C4:3+E4:2 G4:1 r" });
  });

  test("with time for it the same finger is a matter of taste", () => {
    checkRule(sameFingerTooSoon, "@60 C4:2 D4:2 E4:1");
    checkRule(sameFingerTooSoon, "C4/1:2 D4/1:2 E4/2:1");
  });

  test("a finger may slide on to its neighbour, marked or by its digits", () => {
    checkRule(sameFingerTooSoon, "G4:1 F4:1 E4:2 D4:3 C4:4");
    checkRule(sameFingerTooSoon, "C4:4 D4:4 E4:3 F4:2 G4:1");
    checkRule(sameFingerTooSoon, "C4:2!slide D4:2 E4:1");
  });

  test("so does a glissando", () => {
    checkRule(sameFingerTooSoon, "C4:2!slide C5:2 r");
  });

  test("a staccato study of re-placing is meant, unless nobody could play it", () => {
    checkRule(sameFingerTooSoon, "C4:2!staccato D4:2!staccato E4:2!staccato F4:1");
    checkRule(sameFingerTooSoon, "@160 C4/0.25:2!staccato D4/0.25:[2]!staccato r/3.5", { severity: "error" });
  });

  test("chords in a row are set anew with the fingers that they have", () => {
    checkRule(sameFingerTooSoon, "C4:2+E4:1 D4:2+F4:1 E4:2+G4:1");
  });

  test("where no other fingers are easier the music is fast, not the fingering wrong", () => {
    checkRule(sameFingerTooSoon, "C3:2 C5:2 r");
    checkRule(sameFingerTooSoon, "C4:4+E4:3+G4:2+C5:1 E5:1 r");
  });

  test("what comes back with the same fingers and is right there is kept", () => {
    const line = "C4:2 D4:2 E4:1 G4:1 F4:2 D4:3 B3:4/1";
    const { text } = tinyScore(`@100 ${line} | E4:2+G4:1/2 D4:2+F4:1/2 | ${line}`);
    const found = (score: string): number => findingsOf(analyse(score), sameFingerTooSoon).length;
    expect(found(text)).toBeGreaterThan(1);
    const slowAtFirst = text
      .replace('<sound tempo="100"/>', '<sound tempo="20"/>')
      .replace(/<measure number="2">/, '$&<sound tempo="100"/>');
    expect(found(slowAtFirst)).toBe(0);
  });

  test("a bracket tells of its own fingers", () => {
    checkRule(sameFingerTooSoon, "(C4:2 D4:2 E4:1)");
  });

  test("notes without a finger, trills and harmonics are not judged", () => {
    checkRule(sameFingerTooSoon, "C4:2 D4 E4:2");
    checkRule(sameFingerTooSoon, "C4:2!trill D4:2 E4:1");
    checkRule(sameFingerTooSoon, "C4:2!harmonic D4:2!harmonic E4:1");
  });
});
