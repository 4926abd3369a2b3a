import { describe, expect, test } from "vitest";
import { shiftedFigureFingeredOtherwise } from "../../shared/rules/shiftedFigureFingeredOtherwise.ts";
import { analyse } from "../../shared/service/analyse.ts";
import { checkRule, findingsOf } from "../support/checkRule.ts";
import { tinyScore } from "../support/tinyScore.ts";

const tune = "C4:4 D4:3 E4:2 G4:1 F4:2 D4:3 B3:4/1";
const higher = "D4:4 E4:3 F4:2 A4:1 G4:2 E4:3 C4:4/1";
/** With a new placing after the turn. */
const otherwise = higher.replace("G4:2 E4:3 C4:4", "G4:1 E4:2 C4:3");
const between = "E4:2+G4:1/2 D4:2+F4:1/2";
const after = "C4:4+E4:3+G4:2+C5:1/4";
const piece = (...bars: string[]): string => bars.join(" | ");
const marked = (bar: string): string => bar.replace(/([FG]4):(\d)(?= [DE]4)/, "$1:[$2]");

describe("shifted-figure-fingered-otherwise", () => {
  const twice = piece(marked(tune), between, otherwise, after);

  test("on other strings: either place can be made like the other", () => {
    checkRule(shiftedFigureFingeredOtherwise, twice, {
      message:
        "The figure of bar 1 comes again in bar 3 with other fingers: F4 has 2 in bar 1, G4 has 1 in bar 3; two more notes differ.",
      fix: "Finger it there as here",
      fixed: piece(tune, between, higher, after),
    });
    checkRule(shiftedFigureFingeredOtherwise, twice, {
      fix: "Finger it here as there",
      fixed: piece(tune.replace("F4:2 D4:3 B3:4", "F4:1 D4:2 B3:3"), between, otherwise, after),
    });
  });

  test("in the other hand, from C3 up as well", () => {
    const low = (bar: string): string =>
      bar.replace(/([A-G])(\d)/g, (_, letter: string, octave: string) => `${letter}${Number(octave) - 1}`);
    const left = low(otherwise);
    const score = (a: string, b: string): string =>
      `R: ${piece(a, between, "r/4", "C5:1/4")} // L: ${piece("r/4", "C3:4/4", b, "C3:4/4")}`;
    checkRule(shiftedFigureFingeredOtherwise, score(marked(tune), left), {
      fix: "Finger it there as here",
      fixed: score(tune, low(higher)),
    });
  });

  test("alike, or in one place only: nothing is found", () => {
    checkRule(shiftedFigureFingeredOtherwise, piece(tune, between, higher, after));
    checkRule(shiftedFigureFingeredOtherwise, piece(tune, between, otherwise.replace(/:\d/g, ""), after));
  });

  test("what is printed so again and again is meant", () => {
    checkRule(
      shiftedFigureFingeredOtherwise,
      piece(tune, between, otherwise, after, tune, "G3:4/1 A3:3/2 B3:2/1", otherwise, after),
    );
  });

  test("what differs in an exact return as well is told there", () => {
    const { text } = tinyScore(piece(tune, between, higher, after, otherwise, between));
    const findings = analyse(text).findings.filter(({ rule }) => /passage|figure/.test(rule));
    expect(findings.map(({ rule }) => rule)).toEqual(["passage-fingered-otherwise"]);
  });

  test("at the end of the harp, or on the low strings, the hand has no choice", () => {
    const at = (octave: number, hand: string): string => {
      const moved = (bar: string): string =>
        bar.replace(/([A-G])(\d)/g, (_, letter: string, own: string) => `${letter}${Number(own) + octave}`);
      return piece(tune, between, moved(otherwise), after).replace(/^/, `${hand}: `);
    };
    const count = (notation: string): number =>
      findingsOf(analyse(tinyScore(notation).text), shiftedFigureFingeredOtherwise).length;
    expect(count(at(1, "R"))).toBe(1);
    // G7 is the highest string of a 47-string harp; C4 in the tune becomes D7.
    expect(count(at(3, "R"))).toBe(0);
    expect(count(at(-2, "L"))).toBe(0);
  });
});
