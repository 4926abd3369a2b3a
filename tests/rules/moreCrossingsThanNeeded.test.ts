import { describe, test } from "vitest";
import { moreCrossingsThanNeeded } from "../../shared/rules/moreCrossingsThanNeeded.ts";
import { checkRule } from "../support/checkRule.ts";

describe("more-crossings-than-needed", () => {
  test("a scale over an octave crosses once", () => {
    checkRule(moreCrossingsThanNeeded, "C4:3 D4:2 E4:1 F4:[2] G4:1 A4:3 B4:2 C5:1", {
      fixed: "C4:4 D4:3 E4:2 F4:1 G4:4 A4:3 B4:2 C5:1",
      message: "From C4 to C5 the fingers cross twice; once would do, between F4 and G4.",
    });
  });

  test("so does a falling one, and brackets are drawn anew", () => {
    checkRule(moreCrossingsThanNeeded, "(C5:1 B4:2 (A4:3) G4:[1] (F4:2) E4:1 D4:2 C4:3)", {
      fixed: "(C5:1 B4:2 A4:3 (G4:4) F4:1 E4:2 D4:3 C4:4)",
    });
  });

  test("four notes need none", () => {
    checkRule(moreCrossingsThanNeeded, "C4:2 D4:1 E4:[2] F4:1 E4:2", {
      fixed: "C4:4 D4:3 E4:2 F4:1 E4:2",
      message: "From C4 to F4 the fingers cross once; one placing would do.",
    });
  });

  // Common practice, no source: how many strings go to a group.
  test.each([
    "C4:2 D4:1 E4:3 F4:2 G4:1 F4:2",
    "C4:3 D4:2 E4:1 F4:3 G4:2 A4:1 G4:2",
    "C4:4 D4:3 E4:2 F4:1 G4:3 A4:2 B4:1 A4:2",
    "C4:4 D4:3 E4:2 F4:1 G4:4 A4:3 B4:2 C5:1 B4:2",
    "C4:3 D4:2 E4:1 F4:3 G4:2 A4:1 B4:3 C5:2 D5:1",
  ])("usual groups: %s", (notation) => {
    checkRule(moreCrossingsThanNeeded, notation);
  });

  test("groups that fill the beats are meant", () => {
    const names = ["C4", "D4", "E4", "F4", "G4", "A4", "B4", "C5", "D5", "E5", "F5", "G5"];
    const triplets = names.map((name, i) => `${name}/1/3:${3 - (i % 3)}`).join(" ");
    checkRule(moreCrossingsThanNeeded, `@60 ${triplets}`);
    const marked = triplets.replace("F4/1/3:3", "F4/1/3:[3]");
    checkRule(moreCrossingsThanNeeded, `@60 r/1/3 ${marked} |`);
  });

  test("a player who has no fourth finger yet crosses more often", () => {
    checkRule(moreCrossingsThanNeeded, "C4:3 D4:2 E4:1 F4:2 G4:1 A4:3 B4:2 C5:1", {
      settings: { profile: { level: 3 } },
    });
  });

  test("one who avoids crossing with 4 crosses with 3 instead", () => {
    const groups = "C4:2 D4:1 E4:3 F4:2 G4:1 A4:3 B4:2 C5:1";
    checkRule(moreCrossingsThanNeeded, groups, { settings: { profile: { crossing: "avoidFourth" } } });
  });

  test("the same figure in several places is one finding, mended in all", () => {
    const bar = "C4:3 D4:2 E4:1 F4:2 G4:1 A4:3 B4:2 C5:1";
    const other = "C4/4:3+E4:2+G4:1";
    const mended = "C4:4 D4:3 E4:2 F4:1 G4:4 A4:3 B4:2 C5:1";
    checkRule(
      moreCrossingsThanNeeded,
      `C4:3 D4:2 E4:1 F4:[2] G4:1 A4:3 B4:2 C5:1 | ${other} | ${bar} | ${other}`,
      {
        fixed: `${mended} | ${other} | ${mended} | ${other}`,
        message: "One more place is alike.",
      },
    );
  });
});
