import { describe, test } from "vitest";
import { fingerAboveLevel } from "../../shared/rules/fingerAboveLevel.ts";
import type { Settings } from "../../shared/service/analyse.ts";
import { checkRule } from "../support/checkRule.ts";

const three: Settings = { profile: { level: 3 } };
const two: Settings = { profile: { level: 2 } };

describe("finger-above-level", () => {
  test("a finger that the level does not use is told of, and other fingers are found", () => {
    checkRule(fingerAboveLevel, "C4:[4] D4:3 E4:2 F4:1 r", {
      settings: three,
      message: "C4 has finger 4; the chosen level uses three fingers.",
      fixes: 1,
    });
    checkRule(fingerAboveLevel, "C4:[4]+A4:1", { settings: three, fixed: "C4:3+A4:1" });
    checkRule(fingerAboveLevel, "C4:[3]+E4:1", { settings: two, fixed: "C4:2+E4:1" });
  });

  test("a bracket is told of once and placed anew", () => {
    checkRule(fingerAboveLevel, "(C4:[4] D4:3 E4:2 F4:1) r", { settings: three, fixes: 1 });
  });

  test("no fingers are offered that would have to stretch", () => {
    checkRule(fingerAboveLevel, "C4:[4]+C5:1", { settings: three, fixes: 0 });
  });

  test("a chord of four notes takes four fingers, printed or not", () => {
    checkRule(fingerAboveLevel, "C4:[4]+E4:3+G4:2+C5:1", { settings: three, fixes: 0 });
    checkRule(fingerAboveLevel, "[C4]+E4+G4+C5", {
      settings: three,
      fixes: 0,
      message: "C4-E4-G4-C5 takes four fingers; the chosen level uses three fingers.",
    });
  });

  test("what the level uses is nothing to tell of, nor is anything for four fingers", () => {
    checkRule(fingerAboveLevel, "C4:3 D4:2 E4:1 C4+E4+G4", { settings: three });
    checkRule(fingerAboveLevel, "(C4:4 D4:3 E4:2 F4:1) C4+E4+G4+C5");
  });
});
