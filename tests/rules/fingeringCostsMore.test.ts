import { readdirSync, readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { fingeringCostsMore } from "../../shared/rules/fingeringCostsMore.ts";
import { analyse } from "../../shared/service/analyse.ts";
import { fingeredText, fingerScore } from "../../shared/service/fingerScore.ts";
import { checkRule, findingsOf } from "../support/checkRule.ts";
import { tinyScore } from "../support/tinyScore.ts";

describe("fingering-costs-more", () => {
  test("a stretch that is clearly harder than it need be is told of, with the easiest way", () => {
    checkRule(fingeringCostsMore, "@150 E5:1 C5:2 A4:3 F4:4 D4:1 B3:2 G3:[1] E3:2", {
      fixed: "@150 E5:1 C5:2 A4:3 F4:4 D4:1 B3:2 G3:3 E3:4",
      message: "From G3 to E3, 3 4 is clearly easier: it has less coming off in haste and fewer placings.",
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

  test("what the search itself finds for both hands is never clearly harder, whatever the eyes ask of a hand", () => {
    const demo = new URL("../../fixtures/demo/", import.meta.url);
    for (const name of readdirSync(demo).filter((file) => file.endsWith(".musicxml"))) {
      const analysis = analyse(readFileSync(new URL(name, demo), "utf8"));
      const own = analyse(fingeredText(analysis, fingerScore(analysis, { mode: "fresh" })));
      expect(
        findingsOf(own, fingeringCostsMore).map(({ bar, message }) => `${name}, bar ${bar}: ${message}`),
      ).toEqual([]);
    }
  });

  test("what another rule names is not told twice", () => {
    const { findings } = analyse(tinyScore("@150 C4:1 E4:1 G4:1 C5:1").text);
    expect(findings.map(({ rule }) => rule)).not.toContain("fingering-costs-more");
    expect(findings).not.toEqual([]);
  });
});
