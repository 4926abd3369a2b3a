import { describe, test } from "vitest";
import { manyHardJoints } from "../../shared/rules/manyHardJoints.ts";
import type { Settings } from "../../shared/service/analyse.ts";
import { checkRule } from "../support/checkRule.ts";

const level = (fingers: 2 | 3 | 4): Settings => ({ profile: { level: fingers } });

// How many a level takes is an estimate, no source; what is counted is common practice.
describe("many-hard-joints", () => {
  test("bars with more crossings than the level takes are told of once", () => {
    const bar = "C4:1 [D4:3] C4:1 D4:3 C4:1 D4:3 C4:1 D4:3";
    checkRule(manyHardJoints, `@150 ${bar} | ${bar.replace(/[[\]]/g, "")}`, {
      settings: level(3),
      message: "Bars 1 to 2 have 7 to 8 hard joints each in the right hand",
    });
    checkRule(manyHardJoints, `@150 ${bar.replace(/[[\]]/g, "")}`, { settings: level(4) });
  });

  test("so are chords that follow each other quickly in other places, and leaps", () => {
    checkRule(manyHardJoints, "@150 C4+E4+G4 [D4]+F4+A4 E4+G4+B4 F4+A4+C5 r/2", { settings: level(2) });
    checkRule(manyHardJoints, "@150 C4 [D6] C4 D6 C4 r/1.5", { settings: level(2) });
  });

  test("slow ones, groups under one hand, and the same strings again are not hard", () => {
    checkRule(manyHardJoints, "@50 C4:1 D4:3 C4:1 D4:3 C4:1 D4:3 C4:1 D4:3", { settings: level(2) });
    checkRule(manyHardJoints, "@150 C4:4 D4:3 E4:2 F4:1 E4:2 D4:3 C4:4 r", { settings: level(2) });
    checkRule(manyHardJoints, "@150 C4+E4+G4 C4+E4+G4 C4+E4+G4 C4+E4+G4 C4+E4+G4", { settings: level(2) });
    checkRule(manyHardJoints, "@150 C4!trill D6!trill C4!trill D6!trill C4!trill D6!trill", {
      settings: level(2),
    });
  });
});
