import { describe, test } from "vitest";
import { crossingWithFourthFinger } from "../../shared/rules/crossingWithFourthFinger.ts";
import { checkRule } from "../support/checkRule.ts";

describe("crossing-with-fourth-finger", () => {
  test("six notes cross with 3", () => {
    checkRule(crossingWithFourthFinger, "C4:2 D4:1 E4:[4] F4:3 G4:2 A4:1 r/1", {
      fixed: "C4:3 D4:2 E4:1 F4:3 G4:2 A4:1 r/1",
    });
  });

  test("downwards the thumb goes over 3", () => {
    checkRule(crossingWithFourthFinger, "r A4:1 G4:2 F4:3 E4:4 D4:[1] C4:2 r", {
      message: "Between E4 (4) and D4 (1) the thumb goes over 4; with as many crossings 3 would do, between",
    });
  });

  test("with brackets these are drawn anew", () => {
    checkRule(crossingWithFourthFinger, "(C4:2 (D4:1) E4:[4] F4:3 G4:2 (A4:1) G4:2)", {
      fixed: "(C4:3 D4:2 (E4:1) F4:3 G4:2 (A4:1) G4:2)",
    });
  });

  test("where fewer crossings are to be had with 4, it crosses with 4", () => {
    checkRule(crossingWithFourthFinger, "C4:4 D4:3 E4:2 F4:1 G4:4 A4:3 B4:2 C5:1 B4:2");
    checkRule(crossingWithFourthFinger, "C5:1 B4:2 A4:3 G4:4 F4:1 E4:2 D4:3 C4:4 D4:3");
  });

  test("four notes that fill a beat go together", () => {
    checkRule(
      crossingWithFourthFinger,
      "r/0.5 C4/0.25:2 D4/0.25:1 E4/0.25:4 F4/0.25:3 G4/0.25:2 A4/0.25:1 r/2",
    );
    checkRule(
      crossingWithFourthFinger,
      "r/0.75 B4/0.25:1 A4/0.25:1 G4/0.25:2 F4/0.25:3 E4/0.25:4 D4/0.25:1 C4/0.25:2 r/1.5",
    );
    checkRule(crossingWithFourthFinger, "r/1 C4:2 D4:1 E4:4 F4:3 G4:2 A4:1");
  });

  test("groups that are right in one place are kept where they come again", () => {
    const run = "C4:2 D4:1 E4:4 F4:3 G4:2 A4:1";
    checkRule(crossingWithFourthFinger, `r/1 ${run} | ${run} r/1`);
    checkRule(crossingWithFourthFinger, `C4:2 D4:1 E4:[4] F4:3 G4:2 A4:1 r/1 | ${run} r/1`, {
      message: "One more place is alike.",
    });
  });

  test("crossing with 2 is as good", () => {
    checkRule(crossingWithFourthFinger, "C4:4 D4:3 E4:2 F4:1 G4:2 A4:1 r/1");
  });
});
