import { describe, test } from "vitest";
import { leapWithoutTime } from "../../shared/rules/leapWithoutTime.ts";
import { checkRule } from "../support/checkRule.ts";
import { tinyScore } from "../support/tinyScore.ts";

// 0.35 s for a leap of more than an octave, 0.2 s for any change of place: common practice, no source.
describe("leap-without-time", () => {
  test("a leap in less time than it takes is reported where the hand lands", () => {
    checkRule(leapWithoutTime, "R: @120 C4/0.5 [C6/0.5] r/3 // L: C3/0.5 C3/0.5 r/3", {
      message: "From C4 to C6 is a span of 15 strings, with 0.25 s to get there.",
    });
    checkRule(leapWithoutTime, "R: @120 C4/0.5+E4+G4 [C6/0.5]+E6+G6 r/3 // L: C3/0.5 C3/0.5 r/3");
    checkRule(leapWithoutTime, "R: @120 C5/0.5 C5/0.5 r/3 // L: C4/0.5 [A1/0.5] r/3");
  });

  test("it cannot be played in less than any change of place takes", () => {
    checkRule(leapWithoutTime, "R: @120 C4/0.25 [C6/0.25] r/3.5 // L: C3/0.5 r/3.5", { severity: "error" });
    checkRule(leapWithoutTime, "R: @? C4/0.25 [C6/0.25] r/3.5 // L: C3/0.5 r/3.5", {
      severity: "warning",
      message: "at the assumed tempo",
    });
  });

  test("it says when the other hand is free, and then it can be played after all", () => {
    checkRule(leapWithoutTime, "R: @120 C4/0.25 [C6/0.25] r/3.5 // L: r/2 C3/2", {
      severity: "warning",
      message: "The left hand is free here",
    });
    checkRule(leapWithoutTime, "R: @120 C4/0.5 [C6/0.5] r/3 // L: r/2 C3/2", {
      message: "The left hand is free here and may take one of the notes.",
    });
  });

  test("leaps one after the other are told of once", () => {
    checkRule(leapWithoutTime, "R: @120 C4/0.5 [C6/0.5] C4/0.5 C6/0.5 r/2 // L: C3/2 r/2", {
      message: "and 2 more leaps near it",
    });
  });

  test("a leap with time, and what one placing reaches, are nothing to report", () => {
    checkRule(leapWithoutTime, "R: @120 C4/1 C6/1 r/2 // L: C3/4");
    checkRule(leapWithoutTime, "R: @120 C4/0.5 C5/0.5 C4/0.5 C5/0.5 r/2 // L: C3/4");
    checkRule(leapWithoutTime, "R: @120 C4/0.5 E5/0.5 r/3 // L: C3/4");
  });

  test("octaves that are broken to and fro stay under the hand", () => {
    checkRule(leapWithoutTime, "R: @160 C4/0.25 C5/0.25 D4/0.25 D5/0.25 E4/0.25 E5/0.25 r/2.5 // L: C3/4");
  });

  test("grace notes take their time from another note", () => {
    checkRule(leapWithoutTime, "R: @120 C4/0.5 ~A5 C6/0.5 r/3 // L: C3/4");
    checkRule(leapWithoutTime, "R: @120 ~C4 C6/0.5 r/3 // L: C3/4");
  });

  test("what a mark that was never taken back gives to a hand is told of as that", () => {
    const left = "L: C3/0.5 C3/0.5 r/3 | C3/0.5 r/3.5 | C3/0.5 r/3.5";
    checkRule(leapWithoutTime, `R: @120 <l.h.>r/0.25 C5/0.25 C5/3.5 | C5/4 | C5/4 // ${left}`);
    checkRule(leapWithoutTime, `R: @120 r/0.25 <l.h.>[C5/0.25] <r.h.>C5/3.5 | C5/4 | C5/4 // ${left}`, {
      severity: "error",
      message: "and 1 more leap near it",
    });
  });

  test("nothing leaps where the music jumps back to an earlier bar", () => {
    const repeat = '<barline location="right"><repeat direction="backward"/></barline>\n    </measure>';
    checkRule(
      leapWithoutTime,
      tinyScore("R: @120 C4/0.5 | C6/0.5 // L: C3/0.5 | C3/0.5").text.replace("</measure>", repeat),
    );
  });

  test("a staff by itself may be for both hands, and two harps are two players", () => {
    checkRule(leapWithoutTime, "@120 C4/0.5 [C6/0.5] r/3", { severity: "info" });
    checkRule(
      leapWithoutTime,
      tinyScore("R: @120 C4/0.5 C6/0.5 r/3 // L: C3/4").text.replace(">Harp<", ">Harp 1 and 2<"),
    );
  });
});
