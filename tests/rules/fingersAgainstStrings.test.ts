import { describe, test } from "vitest";
import { fingersAgainstStrings } from "../../shared/rules/fingersAgainstStrings.ts";
import { checkRule } from "../support/checkRule.ts";

const sort = "Put the fingers in the order of the strings";
const anew = "Finger these notes anew";

describe("fingers-against-strings", () => {
  test("a chord fingered from the wrong end is reported once and sorted", () => {
    checkRule(fingersAgainstStrings, "C4:1+E4:[2]+G4:3", {
      fixed: "C4:3+E4:2+G4:1",
      fix: sort,
      message:
        "C4 has finger 1 and E4 above it 2: in one chord the higher string takes the lower finger number.",
    });
  });

  test("a chord can be fingered anew", () => {
    checkRule(fingersAgainstStrings, "C4:1+E4:[4]", { fixed: "C4:2+E4:1", fix: anew });
  });

  test("fingers that leave the thumb out are not only sorted", () => {
    checkRule(fingersAgainstStrings, "C4:2+E4:[4]", { fixed: "C4:2+E4:1", fixes: 1 });
  });

  test("under a bracket the order of the strings counts, not that of the notes", () => {
    checkRule(fingersAgainstStrings, "(G4:3 E4:2 C4:[1])", { fixed: "(G4:1 E4:2 C4:3)", fix: sort });
    checkRule(fingersAgainstStrings, "(G4:1 E4:2 C4:3)");
    checkRule(fingersAgainstStrings, "(C4:4 E4:2 F4:[3] G4:1)", {
      fixed: "(C4:4 E4:3 F4:2 G4:1)",
      fix: sort,
    });
    checkRule(fingersAgainstStrings, "(C4:3 E4:1+G4:[2])", { fixed: "(C4:3 E4:2+G4:1)", fix: sort });
  });

  test("one finger on two strings under one bracket is no order either, and cannot be sorted", () => {
    checkRule(fingersAgainstStrings, "(C4:3 D4:2 E4:[2])", {
      fixed: "(C4:3 D4:2 E4:1)",
      message: "D4 and E4 stand under one bracket and are both marked with finger 2.",
    });
  });

  test("a bracket numbered upwards throughout is not taken for a crossing", () => {
    checkRule(fingersAgainstStrings, "(C4:1 D4:[2] E4:3 F4:4)", {
      fixed: "(C4:4 D4:3 E4:2 F4:1)",
      fix: sort,
    });
    checkRule(fingersAgainstStrings, "(C4:1 E4:[2]) r", { fixed: "(C4:2 E4:1) r", fix: sort });
  });

  test("a turning note that two brackets share is in the order of both", () => {
    checkRule(fingersAgainstStrings, "(C4:4 D4:1 E4:[2] (F4:3) E4:4)", {
      fixed: "(C4:4 D4:3 E4:2 (F4:1) E4:4)",
      fix: sort,
    });
  });

  test("brackets that share more than one note cannot both be mended by fingers", () => {
    checkRule(fingersAgainstStrings, "(C4:3 (D4:1 E4:[2]) F4:1)", { fixes: 0 });
  });

  test("fingers that a program wrote all on the first note are shared out, whatever their order there", () => {
    checkRule(fingersAgainstStrings, "C4/4:1,2,3+E4+G4");
    checkRule(fingersAgainstStrings, "C4/4:3,2,1+E4+G4");
  });

  test("the string counts, not the sound: B#4 lies below Cb5", () => {
    checkRule(fingersAgainstStrings, "B#4:2+Cb5:1");
    checkRule(fingersAgainstStrings, "B#4:1+Cb5:[2]");
    checkRule(fingersAgainstStrings, "E#4:3+F4:2+Gb4:1");
  });

  test("notes without a finger, or with fingers of a trill, do not count", () => {
    checkRule(fingersAgainstStrings, "(C4:3 D4 E4:1)");
    checkRule(fingersAgainstStrings, "(C4:3 D4:21 E4:1)");
    checkRule(fingersAgainstStrings, "C4:3,2,1+E4+G4");
  });

  test("a bracket drawn from the pivot of a crossing is in order", () => {
    checkRule(fingersAgainstStrings, "(C4:4 D4:3 E4:2 (F4:1) G4:4 A4:3 B4:2 C5:1)");
    checkRule(fingersAgainstStrings, "(C5:1 B4:2 A4:3 (G4:4) F4:1 E4:2)");
    checkRule(fingersAgainstStrings, "C4:1 (D4:4 E4:3 F4:2 G4:1)");
    checkRule(fingersAgainstStrings, "(C4:1 D4:4 E4:3 F4:2 G4:1)");
  });

  test("so is a small bracket over the crossing itself", () => {
    checkRule(fingersAgainstStrings, "(C4:4 D4:3 E4:2 (F4:1) (G4:4) A4:3 B4:2 C5:1)");
  });

  test("one bracket over both groups of a crossing is mentioned and can be split", () => {
    checkRule(fingersAgainstStrings, "[(]C4:2 D4:1 E4:2 F4:1)", {
      severity: "info",
      fixed: "(C4:2 (D4:1) E4:2 F4:1)",
      message: "cross between D4 and E4",
    });
  });

  test("the thumb may slide down to the next string and 4 up", () => {
    checkRule(fingersAgainstStrings, "(G4:1 F4:1 E4:2 D4:3 C4:4)");
    checkRule(fingersAgainstStrings, "(C4:4 D4:4 E4:3 F4:2)");
    checkRule(fingersAgainstStrings, "(C4:2 D4:[2] E4:1)");
  });

  test("a bracket over a turn or over too many notes is another matter", () => {
    checkRule(fingersAgainstStrings, "(F4:2 A4:1 G4:2)");
    checkRule(fingersAgainstStrings, "(C4:4 D4:3 E4:2 F4:1 G4:2 A4:1)");
  });

  test("a chord that has a finger twice is told so, and not this as well", () => {
    checkRule(fingersAgainstStrings, "C4:2+E4:3+G4:3");
  });

  test("a chord for both hands on one staff is left alone while the other hand is free", () => {
    checkRule(fingersAgainstStrings, "C3:3+G3:1+C4:2+E4:1");
    checkRule(fingersAgainstStrings, "R: C4/4:3+E4:1+G4:[2]+C5:1 // L: C3/4:1");
  });
});
