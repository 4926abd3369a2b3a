import { describe, expect, test } from "vitest";
import { passageFingeredOnce } from "../../shared/rules/passageFingeredOnce.ts";
import { analyse } from "../../shared/service/analyse.ts";
import { checkRule, findingsOf } from "../support/checkRule.ts";
import { demoText } from "../support/demo.ts";
import { tinyScore } from "../support/tinyScore.ts";

const tune = "(C4:4 D4:3 E4:2 (G4:1) F4:2 D4:3 B3:4/1)";
const marked = tune.replace("C4:4", "[C4:4]");
const bare = tune.replace(/:\d|[()]/g, "");
const between = "E4:2+G4:1/2 D4:2+F4:1/2";
const after = "C4:4+E4:3+G4:2+C5:1/4";
const other = "G3:4/1 A3:3/2 B3:2/1";
const piece = (...bars: string[]): string => bars.join(" | ");

describe("passage-fingered-once", () => {
  test("a return without fingers can take them over, brackets too", () => {
    checkRule(passageFingeredOnce, piece(marked, between, bare, after), {
      message: "The passage of bar 1 comes back without fingers in bar 3.",
      fixed: piece(tune, between, tune, after),
    });
  });

  test("several returns are one finding", () => {
    const { text } = tinyScore(
      piece(tune, between, bare, other, bare, between.replaceAll(/:\d/g, ""), bare, other),
    );
    const findings = findingsOf(analyse(text), passageFingeredOnce);
    expect(findings.map(({ message }) => message)).toEqual([
      "The passage of bar 1 comes back without fingers in bar 3, bar 5 and bar 7.",
    ]);
    expect(findings[0]?.related.map(({ message }) => message)).toEqual([
      "It stands in bar 3, without fingers.",
      "It stands in bar 5, without fingers.",
      "It stands in bar 7, without fingers.",
    ]);
  });

  test("the fingers may stand in a later place", () => {
    const { text } = tinyScore(piece(bare, between, tune, after));
    const [finding] = findingsOf(analyse(text), passageFingeredOnce);
    expect(finding).toMatchObject({
      bar: "1",
      message: "The passage of bar 3 comes back without fingers in bar 1.",
    });
  });

  test("a few digits in one place are a hint to the player, not a fingering", () => {
    checkRule(passageFingeredOnce, piece("C4:4 D4 E4 G4:1 F4 D4 B3/1", between, bare, after));
  });

  test("a digit or a bracket in the return shows that it was looked at", () => {
    checkRule(passageFingeredOnce, piece(tune, between, bare.replace("G4", "G4:1"), after));
    checkRule(passageFingeredOnce, piece(tune, between, bare.replace("C4 D4", "(C4 D4)"), after));
  });

  test("who fingers everything but the returns means it so", () => {
    checkRule(passageFingeredOnce, piece(tune, between, bare, other, bare, after));
    // One that has its fingers shows that the bare one was forgotten.
    checkRule(passageFingeredOnce, piece(marked, between, bare, other, tune, after));
  });

  test("a long return is told once, not its parts", () => {
    const messages = findingsOf(analyse(demoText("evening-tide")), passageFingeredOnce).map(
      ({ message }) => message,
    );
    expect(messages).toContain("The passage of bars 0 to 8 comes back without fingers in bars 24 to 32.");
    expect(messages.filter((message) => message.includes("bars 24 to 26"))).toEqual([]);
  });
});
