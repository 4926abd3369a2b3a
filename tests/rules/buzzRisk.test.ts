import { describe, test } from "vitest";
import { buzzRisk } from "../../shared/rules/buzzRisk.ts";
import { checkRule } from "../support/checkRule.ts";
import { tinyScore } from "../support/tinyScore.ts";

const low = "L: @120 C2/0.5:4 C2/0.5:4 r/3";

describe("buzz-risk", () => {
  test("a low string on which a finger is set just after it was plucked", () => {
    checkRule(buzzRisk, "L: @120 C2/0.5:4 C2/0.5:[4] r/3", {
      message:
        "The left hand sets a finger on C2 0.25 s after it was plucked; so low a string still swings widely and may buzz.",
    });
    checkRule(buzzRisk, "L: @150 C2/0.5:4 (G2/0.5:1 E2/0.5:2 C2/0.5:[4]) r/2");
  });

  test("higher strings, strings with time, and the turning note of two brackets are quiet", () => {
    checkRule(buzzRisk, "L: @120 C3/0.5:4 C3/0.5:4 r/3");
    checkRule(buzzRisk, "L: @60 C2/0.5:4 C2/0.5:4 r/3");
    checkRule(buzzRisk, "L: @120 (C3/0.5:1 (C2/0.5:4) C3/0.5:1) r/2.5");
  });

  test("damped, very soft and very loud playing is meant so", () => {
    checkRule(buzzRisk, low.replace("L: @120 ", "L: @120 <étouffez>"));
    checkRule(buzzRisk, "L: @120 C2/0.5:4!staccato C2/0.5:4 r/3");
    const { text } = tinyScore(low);
    for (const sign of ["pp", "ppp", "ff"]) {
      const dynamics = `<direction><direction-type><dynamics><${sign}/></dynamics></direction-type></direction>\n      <note>`;
      checkRule(buzzRisk, text.replace("<note>", dynamics));
    }
  });

  test("trills and grace notes have times of their own; two harps are two players", () => {
    checkRule(buzzRisk, "L: @120 ~C2 C2/0.5:4 r/3.5");
    checkRule(buzzRisk, "L: @120 C2/0.5:4 C2/0.5:4!tremolo r/3");
    checkRule(buzzRisk, tinyScore(low).text.replace(">Harp<", ">Harp 1/2<"));
  });
});
