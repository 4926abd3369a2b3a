import { describe, expect, test } from "vitest";
import { fingeringCostsMore } from "../../shared/rules/fingeringCostsMore.ts";
import { analyse } from "../../shared/service/analyse.ts";
import { checkRule } from "../support/checkRule.ts";
import { tinyScore } from "../support/tinyScore.ts";

describe("fingering-costs-more", () => {
  test("a stretch that is clearly harder than it need be is told of, with the easiest way", () => {
    checkRule(fingeringCostsMore, "@150 E5:1 C5:2 A4:3 F4:4 D4:1 B3:2 G3:[1] E3:2", {
      fixed: "@150 E5:1 C5:2 A4:3 F4:4 D4:1 B3:2 G3:3 E3:4",
      message:
        "From G3 to E3, 3 4 is clearly easier: it has less coming off in haste and fewer placings.",
    });
    checkRule(fingeringCostsMore, "@150 C4:[2] D4:1 E4:2 F4:1 G4:2 A4:1 B4:2 C5:1", {
      fixed: "@150 C4:4 D4:3 E4:2 F4:1 G4:4 A4:3 B4:2 C5:1",
    });
  });

  test("brackets follow the fingers", () => {
    checkRule(fingeringCostsMore, "@150 (C4:[2] D4:1) (E4:2 F4:1) (G4:2 A4:1) (B4:2 C5:1)", {
      fixed: "@150 (C4:4 D4:3 E4:2 (F4:1) G4:4 A4:3 B4:2 C5:1)",
    });
  });

  test("the usual ways, and ways that cost a little more, are matters of taste", () => {
    checkRule(fingeringCostsMore, "C4:4 D4:3 E4:2 F4:1 G4:4 A4:3 B4:2 C5:1");
    checkRule(fingeringCostsMore, "C4:2 D4:1 E4:3 F4:2 G4:1 r C4:3 D4:2 E4:1 F4:2 G4:1");
    checkRule(fingeringCostsMore, "C4:4+C5:1 E4:3+G4:1 C4:2+F4:1");
  });

  test("the chosen profile tells what is easy", () => {
    const threes = "@150 C4:3 D4:2 E4:1 F4:3 G4:2 A4:1 B4:3 C5:2 D5:1 E5:3 F5:2 G5:1";
    checkRule(fingeringCostsMore, threes, { settings: { profile: { crossing: "avoidFourth" } } });
    checkRule(fingeringCostsMore, "@150 C4:2 D4:1 E4:2 F4:1", { settings: { profile: { level: 2 } } });
  });

  test("unfingered notes, harmonics and trills say nothing of the way that is meant", () => {
    checkRule(fingeringCostsMore, "@150 C4:2 D4 E4:2 F4 G4:2 A4 B4:2 C5");
    checkRule(fingeringCostsMore, "@150 C4:2 D4:1!harmonic E4:2 F4:1!harmonic G4:2 A4:1!trill");
  });

  test("a hand may stay on the strings because the eyes are with the other", () => {
    const right = "R: @50 C4:2/0.25 D4/0.25:1 (E4/2:4 F4/0.25:3 G4/1:2 A4/0.25:1)";
    checkRule(fingeringCostsMore, `${right.replace("C4:2", "C4:[2]")} // L: C2/0.5 C2/0.5 C2/1 C2/0.5 C2/1`);
    checkRule(
      fingeringCostsMore,
      `${right} // L: C2/0.75 G3/1.5 C2/0.5 G3/0.5 C2/0.25 G3/0.25 C2/0.25 G3/0.25`,
    );
  });

  test("what another rule names is not told twice", () => {
    const { findings } = analyse(tinyScore("@150 C4:1 E4:1 G4:1 C5:1").text);
    expect(findings.map(({ rule }) => rule)).not.toContain("fingering-costs-more");
    expect(findings).not.toEqual([]);
  });
});
