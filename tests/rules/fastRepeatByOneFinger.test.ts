import { describe, test } from "vitest";
import { fastRepeatByOneFinger } from "../../shared/rules/fastRepeatByOneFinger.ts";
import { checkRule } from "../support/checkRule.ts";

describe("fast-repeat-by-one-finger", () => {
  test("a quick repetition with one finger goes by turns", () => {
    checkRule(fastRepeatByOneFinger, "@140 C4/0.25:2 C4/0.25:[2] r/3.5", {
      message:
        "C4 is plucked twice with finger 2, 0.11 s apart: take fingers by turns, or share the string between the hands.",
    });
    checkRule(fastRepeatByOneFinger, "L: @70 G3/0.25:1 G3/0.25:[1] r/3.5");
  });

  test("many repetitions are one finding", () => {
    checkRule(fastRepeatByOneFinger, "@80 C4/0.25:2 C4/0.25:[2] C4/0.25:2 C4/0.25:2 r/3", {
      message: "C4 is plucked four times with finger 2",
    });
  });

  test("with time enough the same finger repeats", () => {
    checkRule(fastRepeatByOneFinger, "C4:2 C4:2 C4:2");
    checkRule(fastRepeatByOneFinger, "@60 C4/0.25:2 C4/0.25:2 r/3.5");
  });

  test("other fingers by turns are right, and a repetition without a digit may have them", () => {
    checkRule(fastRepeatByOneFinger, "@80 C4/0.25:2 C4/0.25:1 C4/0.25:2 C4/0.25:1 r/3");
    checkRule(fastRepeatByOneFinger, "@80 C4/0.25:2 C4/0.25 C4/0.25 C4/0.25 r/3");
  });

  test("a tremolo is one sign for many notes", () => {
    checkRule(fastRepeatByOneFinger, "@80 C4/0.25:2!tremolo C4/0.25:2!tremolo r/3.5");
  });

  test("a damped study stops each note with the finger that played it", () => {
    checkRule(fastRepeatByOneFinger, "@80 C4/0.25:2!staccato C4/0.25:2!staccato C4/0.25:2 r/3.25");
  });

  test("a chord that is repeated keeps its fingers", () => {
    checkRule(fastRepeatByOneFinger, "@70 C4/0.25:2+E4:1 C4/0.25:2+E4:1 r/3.5");
  });
});
