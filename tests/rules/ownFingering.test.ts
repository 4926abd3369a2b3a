import { readdirSync, readFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { describe, expect, test } from "vitest";
import type { Finding } from "../../shared/rules/define.ts";
import { stringName } from "../../shared/score/pitch.ts";
import { analyse } from "../../shared/service/analyse.ts";
import { fingeredText, fingerScore } from "../../shared/service/fingerScore.ts";
import { Dice, randomLine } from "../support/randomLines.ts";
import { tinyScore } from "../support/tinyScore.ts";

/** What the rules say of a score once it is fingered afresh. */
function findingsOnceFingered(text: string): readonly Finding[] {
  const analysis = analyse(text);
  return analyse(fingeredText(analysis, fingerScore(analysis, { mode: "fresh" }))).findings;
}

const demo = fileURLToPath(new URL("../../fixtures/demo", import.meta.url));

describe("what the search writes is nothing to report", () => {
  test.each(readdirSync(demo).filter((name) => name.endsWith(".musicxml")))("%s, fingered afresh", (name) => {
    const findings = findingsOnceFingered(readFileSync(`${demo}/${name}`, "utf8"));
    const told = findings.filter(({ severity }) => severity !== "info");
    expect(told.map(({ message, bar }) => `bar ${bar}: ${message}`)).toEqual([]);
  });

  test("random lines of one hand: only what no hand reaches", () => {
    for (let seed = 0; seed < 50; seed += 1) {
      const notation = randomNotation(seed);
      const told = findingsOnceFingered(tinyScore(notation).text).filter(
        ({ rule, severity }) => severity !== "info" && rule !== "reach-beyond-hand",
      );
      expect(
        told.map(({ rule, bar, message }) => `${rule} in bar ${bar}: ${message}`),
        `seed ${seed}: ${notation}`,
      ).toEqual([]);
    }
  });
});

/** Lengths in quarter notes at 100 a minute. */
const lengths = [0.25, 0.5, 0.75, 1, 1.5, 2, 4];

/** A random line in the short notation, its times brought to plain note lengths. */
function randomNotation(seed: number): string {
  const line = randomLine(new Dice(seed), { events: 24, lowest: 21 });
  const words = line.events.map((event, i) => {
    const next = line.events[i + 1]?.atMicros ?? event.atMicros + 600_000;
    const quarters = (next - event.atMicros) / 600_000;
    const length = lengths.reduce((a, b) => (Math.abs(b - quarters) < Math.abs(a - quarters) ? b : a));
    const chord = event.strings.map((string, j) => `${stringName(string)}${j === 0 ? `/${length}` : ""}`);
    return `${chord.join("+")}${event.rolled ? "!roll" : ""} |`;
  });
  return `${line.hand === "right" ? "R" : "L"}: ${words.join(" ")}`;
}
