import { describe, test } from "vitest";
import { tempoNotStated } from "../../shared/rules/tempoNotStated.ts";
import { checkRule } from "../support/checkRule.ts";

describe("tempo-not-stated", () => {
  test("a score without a tempo is told of once, at its first note", () => {
    checkRule(tempoNotStated, "R: @? r [C4] D4 E4 // L: r/4 C3/4", {
      message: "The score states no tempo: 96 quarter notes a minute are assumed.",
    });
  });

  test("a tempo in the score or in the settings is one", () => {
    checkRule(tempoNotStated, "R: @80 C4 // L: C3");
    checkRule(tempoNotStated, "R: @? C4 // L: C3", { settings: { tempo: 80 } });
  });
});
