import { describe, expect, test } from "vitest";
import type { FingeringLine } from "../../shared/fingering/model.ts";
import { costByFinger, solve, withLock } from "../../shared/fingering/solve.ts";
import { defaultWeights } from "../../shared/fingering/weights.ts";
import { spell } from "../support/enumerate.ts";
import { lineOf, notesOn, scale, withFingers, withPlacings } from "../support/lines.ts";

const fingered = (line: FingeringLine) => spell(solve(line, defaultWeights).placings);

/** How many decisions the fingering could not keep. */
function broken(line: FingeringLine): number {
  const terms = solve(line, defaultWeights).placings.flatMap(({ placingTerms, jointTerms }) => [
    ...placingTerms,
    ...jointTerms,
  ]);
  const lock = terms.filter(({ name }) => name === "lock");
  return lock.reduce((sum, { milli }) => sum + milli, 0) / defaultWeights.lockBroken;
}

describe("what has been decided is kept and the rest completed around it", () => {
  const five = notesOn(scale(5));

  test.each([
    [". . . . .", "2 1 x 3 2 1"],
    ["3 . . . .", "3 2 1 x 2 1"],
    ["1 . . . .", "1 x 4 3 2 1"],
    [". . . . 2", "4 3 2 1 x 2"],
    [". . 1 . .", "3 2 1 x 2 1"],
  ])("fingers %s", (written, wanted) => {
    const line = withFingers(five, written);
    expect(fingered(line)).toBe(wanted);
    expect(broken(line)).toBe(0);
  });

  test.each([
    [[[0, 2]], "3 2 1 x 2 1"],
    [[[1, 4]], "1 x 4 3 2 1"],
    [[[2, 2]], "2 1 x 2 | 2 1"],
    [
      [
        [0, 0],
        [1, 2],
      ],
      "1 x 2 1 x 2 1",
    ],
  ] as [[number, number][], string][])("placings %j", (ranges, wanted) => {
    const line = withPlacings(five, ...ranges);
    const { placings } = solve(line, defaultWeights);
    for (const [first, last] of ranges)
      expect(placings).toContainEqual(expect.objectContaining({ first, last }));
    expect(spell(placings)).toBe(wanted);
    expect(broken(line)).toBe(0);
  });

  test("two placings that share a turning note", () => {
    const line = withPlacings(lineOf("C4 E4 D4"), [0, 1], [1, 2]);
    expect(fingered(line)).toBe("2 1 o 1 2");
    expect(broken(line)).toBe(0);
  });

  test("a chord that was placed by itself stays by itself", () => {
    const line = lineOf("C4 E4+G4");
    expect(fingered(line)).toBe("3 2+1");
    expect(fingered(withPlacings(line, [1, 1]))).toBe("2 | 2+1");
  });

  test("one finger of a chord", () => {
    expect(fingered(withFingers(lineOf("G4+C5+E5"), "4+.+."))).toBe("4+2+1");
  });

  test("an undecided line is the same as one without decisions", () => {
    const locks = { fingers: [], placings: [] };
    expect(solve({ ...five, locks }, defaultWeights)).toEqual(solve(five, defaultWeights));
  });

  test("one more finger leaves the others decided", () => {
    const line = withLock(withFingers(five, "3 . . . ."), 4, 0, 2);
    expect(line.locks?.fingers.map((own) => own?.[0])).toEqual([3, undefined, undefined, undefined, 2]);
    expect(broken(line)).toBe(0);
  });
});

describe("a decision that cannot be kept is charged by name, and there is still an answer", () => {
  test("fingers in the wrong order within a chord", () => {
    const line = withFingers(lineOf("C4+E4+G4"), "1+2+3");
    expect(broken(line)).toBe(2);
    expect(solve(line, defaultWeights).fingers.flat()).toHaveLength(3);
  });

  test("a placing that turns", () => {
    const line = withPlacings(lineOf("C4 E4 D4"), [0, 2]);
    expect(broken(line)).toBeGreaterThan(0);
  });

  test("a placing of more than four notes", () => {
    const line = withPlacings(notesOn(scale(6)), [0, 4]);
    expect(broken(line)).toBeGreaterThan(0);
    expect(solve(line, defaultWeights).fingers).toHaveLength(6);
  });

  test("a placing that would pluck one string twice", () => {
    expect(broken(withPlacings(notesOn([28, 28]), [0, 1]))).toBeGreaterThan(0);
  });

  test("two placings that share more than a turning note", () => {
    expect(broken(withPlacings(notesOn(scale(5)), [0, 2], [1, 4]))).toBeGreaterThan(0);
  });

  test("placings that share a note where nothing turns", () => {
    expect(broken(withPlacings(notesOn(scale(5)), [0, 2], [2, 4]))).toBeGreaterThan(0);
  });

  test("fingers in the wrong order within a decided placing", () => {
    const line = withFingers(withPlacings(notesOn(scale(3)), [0, 2]), "1 . 3");
    const placed = { ...line, locks: { ...line.locks!, placings: [{ first: 0, last: 2 }] } };
    expect(broken(placed)).toBeGreaterThan(0);
  });

  test("what can be kept beside it is kept", () => {
    const line = withFingers(lineOf("C4+E4 D4 F4"), "1+2 3 4");
    const { fingers } = solve(line, defaultWeights);
    expect(fingers.slice(1)).toEqual([[3], [4]]);
    expect(broken(line)).toBe(1);
  });

  test("a finger that a note of a chord cannot have has no cost", () => {
    const chord = lineOf("C4+E4+G4+C5");
    const costs = costByFinger(chord, defaultWeights, 0, 0);
    expect([1, 2, 3, 4].map((finger) => costs[finger] !== undefined)).toEqual([false, false, false, true]);
  });
});
