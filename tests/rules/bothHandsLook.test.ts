import { describe, test } from "vitest";
import { bothHandsLook } from "../../shared/rules/bothHandsLook.ts";
import { checkRule } from "../support/checkRule.ts";
import { tinyScore } from "../support/tinyScore.ts";

const comingOff = "R: @80 (C5/1:3 D5/1:2 E5/1:1) (D5/1:[1] | C5/1:2)";

// The eyes serve one place at a time: common practice, no source.
describe("both-hands-look", () => {
  test("a hand that comes off while the other leaps, and could stay on the strings", () => {
    checkRule(bothHandsLook, `${comingOff} // L: r/2 A3/1:1 C2/1:4`, {
      fixed: "R: @80 (C5/1:3 D5/1:2 (E5/1:1) D5/1:2 | C5/1:3) // L: r/2 A3/1:1 C2/1:4",
      message:
        "Both hands come off for places far apart, the right for D5 and the left for C2: the eyes serve one place at a time. The right hand could stay on the strings.",
    });
  });

  test("both hands leap, whatever their fingers are", () => {
    checkRule(bothHandsLook, "R: @100 C4/1 [C6/1] r/2 // L: C3/1 C1/1 r/2", {
      severity: "info",
      message: "Both hands leap at once, the right to C6 and the left to C1",
    });
  });

  test("a hand that comes off once is told of once, however often the other leaps meanwhile", () => {
    checkRule(
      bothHandsLook,
      "R: @80 r/2 C5/0.5:3+E5:2+G5:1 A4/0.5:3+D5:2+F5:1 C5/0.5:3+E5:2+G5:1 r/0.5 // L: (C2/1:3 D2/1:2 E2/1:1) (D2/1:[1] | C2/1:2)",
    );
  });

  test("a hand with time goes to its place first", () => {
    checkRule(bothHandsLook, `${comingOff.replace("[1]", "1")} // L: r/1 A3/1:1 r/1 C2/1:4`);
    checkRule(bothHandsLook, "R: @40 C4/1 C6/1 r/2 // L: C3/1 C1/1 r/2");
  });

  test("places near each other are seen together", () => {
    checkRule(bothHandsLook, `${comingOff.replace("[1]", "1")} // L: r/2 A2/1:1 C4/1:4`);
  });

  test("the same strings again, or a shape that keeps its strings, needs no look", () => {
    checkRule(bothHandsLook, "R: @80 C5/1+E5+G5 C5/1+E5+G5 r/2 // L: A3/1 C2/1 r/2");
    checkRule(bothHandsLook, "R: @80 (C5/1:3 D5/1:2 (E5/1:1) D5/1:2 | C5/1:3) // L: r/2 A3/1:1 C2/1:4");
  });

  test("without brackets nobody has said that the hand comes off", () => {
    checkRule(bothHandsLook, "R: @80 C5/1:3 D5/1:2 E5/1:1 D5/1:1 | C5/1:2 // L: r/2 A3/1:1 C2/1:4");
  });

  test("grace notes have times of their own; two harps are two players", () => {
    checkRule(bothHandsLook, "R: @100 C4/1 ~B5 C6/1 r/2 // L: C3/1 C1/1 r/2");
    const { text } = tinyScore("R: @100 C4/1 C6/1 r/2 // L: C3/1 C1/1 r/2");
    checkRule(bothHandsLook, text.replace(">Harp<", ">2 Harps<"));
  });
});
