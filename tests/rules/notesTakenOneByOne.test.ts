import { describe, test } from "vitest";
import { notesTakenOneByOne } from "../../shared/rules/notesTakenOneByOne.ts";
import { checkRule } from "../support/checkRule.ts";

describe("notes-taken-one-by-one", () => {
  test("one finger from string to string becomes a placing", () => {
    checkRule(notesTakenOneByOne, "@60 C4:[2] D4:2 E4:2 F4:1", {
      fixed: "@60 C4:4 D4:3 E4:2 F4:1",
      message: "C4, D4 and E4 are each taken with finger 2; the hand could be placed over them.",
    });
    checkRule(notesTakenOneByOne, "L: @60 G3:[2] E3:2 C3:2 r", { fixed: "L: @60 G3:1 E3:2 C3:3 r" });
  });

  test("two notes, or notes to and fro, are a matter of taste", () => {
    checkRule(notesTakenOneByOne, "@60 C4:2 D4:2 E4:1");
    checkRule(notesTakenOneByOne, "@60 C4:2 E4:2 D4:2 F4:1");
  });

  test("the thumb may carry a melody by itself", () => {
    checkRule(notesTakenOneByOne, "@60 C4:1 D4:1 E4:1 F4:1");
  });

  test("an exercise for one finger goes on for long", () => {
    checkRule(notesTakenOneByOne, "@60 C4:2 D4:2 E4:2 F4:2 G4:2 A4:2 B4:2 C5:2 D5:2");
    checkRule(notesTakenOneByOne, "@60 C4:2!staccato D4:2!staccato E4:2!staccato F4:1");
  });

  test("too fast for that is told otherwise, and long notes stand alone", () => {
    checkRule(notesTakenOneByOne, "C4:2 D4:2 E4:2 F4:1");
    checkRule(notesTakenOneByOne, "C4/4:2 D4/4:2 E4/4:2 F4/4:2");
  });

  test("where no hand reaches over them they have to be taken one by one", () => {
    checkRule(notesTakenOneByOne, "@60 C3:2 C5:2 C6:2 r");
  });

  test("without fingers nothing is said", () => {
    checkRule(notesTakenOneByOne, "@60 C4 D4 E4 F4");
    checkRule(notesTakenOneByOne, "@60 C4:2 D4 E4:2 F4");
  });
});
