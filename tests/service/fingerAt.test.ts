import { describe, expect, test } from "vitest";
import { type Analysis, analyse } from "../../shared/service/analyse.ts";
import { fingerAt, type Scope, scopesAt } from "../../shared/service/fingerAt.ts";
import { applyEdits } from "../../shared/text/edits.ts";
import { InputError } from "../../shared/text/problem.ts";
import { withoutFingering } from "../support/demo.ts";
import { tinyScore } from "../support/tinyScore.ts";

// Eight notes of a scale are two groups of four with one crossing between: common practice, no source.
const scale = "C4 D4 E4 F4 G4 A4 B4 C5 | B4 A4 G4 F4 E4 D4 C4 B3";
const bothHands = "R: C5 D5 E5 F5 G5 A5 B5 C6 | C6 // L: C3/1 G3/1 C3/1 G3/1 | C3";

/** The offset of a hand's event in the text. */
function at(analysis: Analysis, event: number, hand = 0): number {
  return analysis.hands[hand]!.line.events[event]!.notes[0]!.note.site.span.start + 3;
}

function fingered(text: string, event: number, scope: Scope, mode: "keep" | "fresh", hand = 0): string {
  const analysis = analyse(text);
  const after = applyEdits(text, fingerAt(analysis, at(analysis, event, hand), scope, mode));
  expect(withoutFingering(after)).toBe(withoutFingering(text));
  return after;
}

/** The printed fingers of each hand, 0 for none. */
function printed(text: string): number[][] {
  return analyse(text).hands.map(({ fingers }) => fingers.map(([finger]) => finger ?? 0));
}

/** First and last event of each printed bracket of the first hand. */
function brackets(text: string): number[][] {
  return analyse(text).hands[0]!.placings.map(({ first, last }) => [first, last]);
}

describe("how much is fingered", () => {
  const { text } = tinyScore(scale);
  const none = [0, 0, 0, 0, 0, 0, 0, 0];

  test("a placing: its notes and its bracket", () => {
    const after = fingered(text, 1, "placing", "keep");
    expect(printed(after)).toEqual([[4, 3, 2, 1, 0, 0, 0, 0, ...none]]);
    expect(brackets(after)).toEqual([[0, 3]]);
  });

  test("a bar", () => {
    expect(printed(fingered(text, 1, "bar", "keep"))).toEqual([[4, 3, 2, 1, 4, 3, 2, 1, ...none]]);
  });

  test("a bar has both hands, a hand has all its bars", () => {
    const { text: two } = tinyScore(bothHands);
    const [right, left] = printed(fingered(two, 3, "bar", "keep")) as [number[], number[]];
    expect(right.slice(0, 8).every((finger) => finger > 0)).toBe(true);
    expect(right.slice(8)).toEqual([0]);
    expect(left.slice(0, 4).every((finger) => finger > 0)).toBe(true);
    expect(left.slice(4)).toEqual([0]);
    const [untouched, whole] = printed(fingered(two, 0, "hand", "keep", 1)) as [number[], number[]];
    expect(untouched.every((finger) => finger === 0)).toBe(true);
    expect(whole.every((finger) => finger > 0)).toBe(true);
  });

  test("the whole score, wherever one points", () => {
    const analysis = analyse(text);
    const after = applyEdits(text, fingerAt(analysis, 0, "score", "keep"));
    expect(printed(after)[0]!.every((finger) => finger > 0)).toBe(true);
  });

  test("twice is as once", () => {
    for (const scope of ["placing", "bar", "hand", "score"] as const) {
      const once = fingered(text, 1, scope, "keep");
      expect(fingered(once, 1, scope, "keep"), scope).toBe(once);
    }
  });
});

describe("what is printed", () => {
  // A note by itself is the second finger's, four notes up are 4 3 2 1: common practice, no source.
  const { text } = tinyScore("C4:3 D4 E4 F4 | r/4 | C5:3/4");

  test("is kept", () => {
    const [fingers] = printed(fingered(text, 0, "score", "keep")) as [number[]];
    expect([fingers[0], fingers[4]]).toEqual([3, 3]);
    expect(fingers).not.toContain(0);
  });

  test("gives way within what is fingered anew, and only there", () => {
    expect(printed(fingered(text, 0, "bar", "fresh"))).toEqual([[4, 3, 2, 1, 3]]);
    expect(printed(fingered(text, 0, "score", "fresh"))).toEqual([[4, 3, 2, 1, 2]]);
  });

  test("a printed placing is this placing, also at the note where it turns", () => {
    const { text: turning } = tinyScore("(C4 D4 (E4) D4 C4) G4");
    const [fingers] = printed(fingered(turning, 2, "placing", "fresh")) as [number[]];
    expect(fingers).toEqual([3, 2, 1, 0, 0, 0]);
  });
});

describe("what can be fingered at a place", () => {
  test("a note has all four, other elements of a bar have the bar, the rest has the score", () => {
    const { text } = tinyScore("C4:1 D4 | E4 F4");
    const analysis = analyse(text);
    const scopes = (offset: number): string[] =>
      scopesAt(analysis, offset).map(({ scope, printed: has }) => `${scope}${has ? " printed" : ""}`);
    expect(scopes(at(analysis, 0))).toEqual([
      "placing printed",
      "bar printed",
      "hand printed",
      "score printed",
    ]);
    expect(scopes(at(analysis, 2))).toEqual(["placing", "bar", "hand printed", "score printed"]);
    expect(scopes(text.indexOf("<attributes>"))).toEqual(["bar printed", "score printed"]);
    expect(scopes(text.indexOf("<part-list>"))).toEqual(["score printed"]);
  });

  test("a bar of rests has nothing to finger, a tied-on note has no placing of its own", () => {
    const { text } = tinyScore("C4/4_ | C4/4 | r/4");
    const analysis = analyse(text);
    const [first, second, third] = [...text.matchAll(/<note>/g)].map(({ index }) => index + 2);
    const scopes = (offset: number): string[] => scopesAt(analysis, offset).map(({ scope }) => scope);
    expect(scopes(first!)).toEqual(["placing", "bar", "hand", "score"]);
    expect(scopes(second!)).toEqual(["score"]);
    expect(scopes(third!)).toEqual(["score"]);
    expect(() => fingerAt(analysis, second!, "placing", "keep")).toThrow(InputError);
    expect(() => fingerAt(analysis, third!, "bar", "keep")).toThrow("Put the cursor in a bar that has some.");
  });

  test("a text that is no score has nothing", () => {
    const analysis = analyse("<score-partwise><part-list/>");
    expect(scopesAt(analysis, 5)).toEqual([]);
    expect(() => fingerAt(analysis, 5, "score", "keep")).toThrow(InputError);
    expect(() => fingerAt(analysis, 5, "bar", "keep")).toThrow(InputError);
  });
});
