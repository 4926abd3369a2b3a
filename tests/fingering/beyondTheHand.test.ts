import { describe, expect, test } from "vitest";
import { type FingeringLine, sumTerms } from "../../shared/fingering/model.ts";
import { solve } from "../../shared/fingering/solve.ts";
import { defaultWeights } from "../../shared/fingering/weights.ts";
import { lineOf, notesOn, withFingers } from "../support/lines.ts";

const { beyondReachPerStep, impossible } = defaultWeights;
const solved = (line: FingeringLine) => solve(line, defaultWeights);
const terms = (line: FingeringLine) => sumTerms(solved(line).placings);

test("a line without events is fingered by nothing", () => {
  expect(solved({ hand: "right", events: [] })).toEqual({ placings: [], fingers: [], totalMilli: 0 });
});

describe("five notes and more at once", () => {
  const five = "C4+D4+E4+F4+G4";

  test("the right hand keeps the upper four, the left the lower four", () => {
    expect(solved(lineOf(five)).fingers).toEqual([[undefined, 4, 3, 2, 1]]);
    expect(solved(lineOf(five, { hand: "left" })).fingers).toEqual([[4, 3, 2, 1, undefined]]);
  });

  test("each note without a finger is charged as one too many", () => {
    expect(terms(lineOf(five)).get("tooMany")).toBe(impossible);
    expect(terms(lineOf("C4+D4+E4+F4+G4+A4+B4")).get("tooMany")).toBe(3 * impossible);
  });

  test("what stands around it is fingered as ever", () => {
    const { fingers, placings } = solved(lineOf(`C4 D4 E4 ${five} E4 D4 C4`, { seconds: [0.3, 0.3, 2] }));
    expect(fingers[0]).toEqual([3]);
    expect(fingers.slice(4)).toEqual([[1], [2], [3]]);
    expect(placings.map(({ first, last }) => [first, last])).toEqual([
      [0, 2],
      [3, 3],
      [4, 6],
    ]);
  });

  test("a finger decided for a string that the hand plays is kept", () => {
    const { fingers } = solved(withFingers(lineOf(five), ".+.+.+.+1"));
    expect(fingers).toEqual([[undefined, 4, 3, 2, 1]]);
  });

  test("the terms still add up to the total", () => {
    const line = lineOf(`C4 ${five} C4 D4+E4+F4+G4+A4`);
    const sum = [...terms(line).values()].reduce((a, b) => a + b, 0);
    expect(sum).toBe(solved(line).totalMilli);
  });
});

describe("beyond the reach of a hand", () => {
  test("a chord of a twelfth is the widest, one more string is too wide", () => {
    expect(terms(lineOf("C4+G5")).has("tooWide")).toBe(false);
    expect(terms(lineOf("C4+A5")).get("tooWide")).toBe(impossible + beyondReachPerStep);
    expect(solved(lineOf("C4+A5")).fingers).toEqual([[4, 1]]);
  });

  test("a rolled chord may be two strings wider, and the wider it is the dearer", () => {
    const twoNotes = ["D5", "E5", "F5", "G5", "A5", "B5"].map((top) => `C4+${top}`);
    const threeNotes = ["D5", "E5", "F5", "G5", "A5"].map((top) => `C4+B4+${top}`);
    for (const chords of [twoNotes, threeNotes]) {
      const lines = chords.map((chord) => lineOf(chord, { rolled: true }));
      const costs = lines.map((line) => solved(line).totalMilli);
      expect(lines.some((line) => terms(line).has("tooWide"))).toBe(false);
      expect(costs).toEqual(costs.toSorted((a, b) => a - b));
      expect(new Set(costs).size).toBe(costs.length);
    }
    expect(terms(lineOf("C4+C6", { rolled: true })).has("tooWide")).toBe(true);
  });

  test("rolling does not let inner fingers reach further", () => {
    expect(terms(lineOf("C4+B4+A5", { rolled: true })).has("tooWide")).toBe(false);
    expect(terms(lineOf("C4+C5+A5", { rolled: true })).has("tooWide")).toBe(true);
  });

  test("a line never stretches where it can come off", () => {
    const { placings } = solved(lineOf("C4 C6", { seconds: 1 }));
    expect(placings.map(({ first, last }) => [first, last])).toEqual([
      [0, 0],
      [1, 1],
    ]);
  });

  test("a jump costs more the further it goes, from a sixth on", () => {
    const leap = (steps: number) => terms(notesOn([20, 20 + steps, 20], 2)).get("leap") ?? 0;
    expect([12, 13, 20].map(leap)).toEqual([800, 900, 1600]);
  });
});

describe("faster than a hand", () => {
  const tooFast = (line: FingeringLine) => terms(line).get("tooFast") ?? 0;

  test("notes that stand placed may follow each other as fast as that, and no faster", () => {
    expect(tooFast(lineOf("C4 D4 E4", { seconds: 0.05 }))).toBe(0);
    expect(tooFast(lineOf("C4 D4 E4", { seconds: 0.049 }))).toBe(2 * impossible);
  });

  test("a chord after a chord", () => {
    expect(tooFast(lineOf("C4+E4 C4+E4", { seconds: 0.22 }))).toBe(0);
    expect(tooFast(lineOf("C4+E4 C4+E4", { seconds: 0.219 }))).toBe(impossible);
  });

  test("a jump of more than an octave", () => {
    expect(tooFast(lineOf("C4+E4 C6+E6", { seconds: 0.35 }))).toBe(0);
    expect(tooFast(lineOf("C4+E4 C6+E6", { seconds: 0.349 }))).toBe(impossible);
  });

  test("one string again, which another finger can do sooner", () => {
    expect(solved(lineOf("C4 C4", { seconds: 0.1 })).fingers).not.toEqual([[2], [2]]);
    expect(tooFast(lineOf("C4 C4", { seconds: 0.08 }))).toBe(0);
    expect(tooFast(lineOf("C4 C4", { seconds: 0.079 }))).toBe(impossible);
    expect(tooFast(withFingers(lineOf("C4 C4", { seconds: 0.2 }), "2 2"))).toBe(0);
    expect(tooFast(withFingers(lineOf("C4 C4", { seconds: 0.199 }), "2 2"))).toBe(impossible);
  });

  test("events at one time still get an answer", () => {
    const line = lineOf("C4 E4 C4", { seconds: 0 });
    expect(tooFast(line)).toBeGreaterThan(0);
    expect(solved(line).fingers).toHaveLength(3);
  });
});
