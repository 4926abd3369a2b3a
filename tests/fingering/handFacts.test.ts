import { describe, expect, test } from "vitest";
import { choicesFrom } from "../../shared/fingering/choices.ts";
import { LineCosts } from "../../shared/fingering/costs.ts";
import { type FingeringLine, type HandName, sumTerms } from "../../shared/fingering/model.ts";
import { solve } from "../../shared/fingering/solve.ts";
import { defaultWeights } from "../../shared/fingering/weights.ts";
import { placingsFrom, spell } from "../support/enumerate.ts";
import { lineOf, notesOn, scale, withFingers } from "../support/lines.ts";
import { backwards, Dice, randomLine } from "../support/randomLines.ts";

// The facts of the hand in this file are common practice, no source, unless a line names one.

const hands: readonly HandName[] = ["right", "left"];
const solved = (line: FingeringLine) => solve(line, defaultWeights);
const fingered = (line: FingeringLine) => spell(solved(line).placings);

describe.each(hands)("chords in the %s hand", (hand) => {
  /** The digits of a chord with these gaps, from the bottom. */
  function chord(gaps: readonly number[], rolled: boolean): string {
    const strings = [24];
    for (const gap of gaps) strings.push(strings.at(-1)! + gap);
    return fingered({ hand, events: [{ strings, atMicros: 0, rolled }] });
  }

  test.each([
    ["second", [1], "2+1"],
    ["third", [2], "2+1"],
    ["fourth", [3], "2+1"],
    ["fifth", [4], "3+1"],
    // Sixths with 1 and 3: a learner's page on sixths says the same.
    ["sixth", [5], "3+1"],
    ["seventh", [6], "4+1"],
    ["octave", [7], "4+1"],
    ["ninth", [8], "4+1"],
    ["tenth", [9], "4+1"],
    ["close triad, root at the bottom", [2, 2], "3+2+1"],
    ["close triad, third at the bottom", [2, 3], "3+2+1"],
    ["close triad, fifth at the bottom", [3, 2], "3+2+1"],
    ["octave with the third inside", [2, 5], "4+3+1"],
    ["octave with the fourth inside", [3, 4], "4+2+1"],
    ["octave with the fifth inside", [4, 3], "4+2+1"],
    ["octave with the sixth inside", [5, 2], "4+2+1"],
    // The left hand's stock chord, marked 1-2-4: harpmastery.com and a thread on harpcolumn.com.
    ["open triad", [4, 5], "4+2+1"],
    ["open triad, inverted", [5, 4], "4+2+1"],
    ["four close notes", [1, 1, 1], "4+3+2+1"],
    ["close seventh", [2, 2, 2], "4+3+2+1"],
    ["close seventh, inverted", [2, 2, 1], "4+3+2+1"],
    ["octave chord", [2, 2, 3], "4+3+2+1"],
    ["four notes over a tenth", [4, 3, 2], "4+3+2+1"],
  ])("%s %j", (_, gaps, wanted) => {
    expect(chord(gaps, false)).toBe(wanted);
    expect(chord(gaps, true), "rolled").toBe(wanted);
  });
});

test.each([0.25, 0.33, 0.5])(
  "chords one after another keep their shapes where a string comes again, %s s apart",
  (seconds) => {
    expect(fingered(lineOf("F4+A4+C5 F4+B4+D5 E4+G4+C5", { seconds }))).toBe("3+2+1 | 3+2+1 | 3+2+1");
  },
);

describe("single notes", () => {
  test("the second finger; low in the left hand the fourth", () => {
    expect(fingered(lineOf("G4", { hand: "right" }))).toBe("2");
    expect(fingered(lineOf("G4", { hand: "left" }))).toBe("2");
    expect(fingered(lineOf("C3", { hand: "left" }))).toBe("2");
    expect(fingered(lineOf("B2", { hand: "left" }))).toBe("4");
  });
});

describe.each(hands)("scales in the %s hand", (hand) => {
  /** Runs up; each is right the other way round for the run down. */
  const groups: readonly [number, string, readonly string[]][] = [
    [2, "2 1", []],
    [3, "3 2 1", []],
    [4, "4 3 2 1", []],
    [5, "2 1 x 3 2 1", ["3 2 1 x 2 1", "1 x 4 3 2 1"]],
    [6, "3 2 1 x 3 2 1", ["4 3 2 1 x 2 1", "2 1 x 4 3 2 1"]],
    [7, "4 3 2 1 x 3 2 1", ["3 2 1 x 4 3 2 1"]],
    [8, "4 3 2 1 x 4 3 2 1", []],
    [9, "3 2 1 x 3 2 1 x 3 2 1", ["4 3 2 1 x 3 2 1 x 2 1"]],
    [10, "4 3 2 1 x 3 2 1 x 3 2 1", []],
    [12, "4 3 2 1 x 4 3 2 1 x 4 3 2 1", []],
    [16, "4 3 2 1 x 4 3 2 1 x 4 3 2 1 x 4 3 2 1", []],
  ];

  test.each(groups)("%i notes up: %s", (count, wanted) => {
    expect(fingered(notesOn(scale(count, 21), 0.3, hand))).toBe(wanted);
  });

  test.each(groups)("%i notes down cost what they cost up, in as many groups", (count) => {
    const [up, down] = [count, -count].map((notes) => solved(notesOn(scale(notes, 21), 0.3, hand)));
    expect(down!.totalMilli).toBe(up!.totalMilli);
    const groupsOf = ({ placings }: typeof up & object) =>
      placings.map(({ fingers }) => fingers.length).sort();
    expect(groupsOf(down!)).toEqual(groupsOf(up!));
    expect(down!.placings.slice(1).every(({ joint }) => joint === "cross")).toBe(true);
  });

  test.each(groups.filter(([, , others]) => others.length > 0))(
    "%i notes: what is also right costs little more",
    (count, _, others) => {
      const line = notesOn(scale(count, 21), 0.3, hand);
      const least = solved(line).totalMilli;
      for (const other of others) {
        const found = solved(withFingers(line, other.replaceAll(" x ", " ")));
        expect(spell(found.placings)).toBe(other);
        expect(found.totalMilli - least).toBeGreaterThanOrEqual(0);
        expect(found.totalMilli - least).toBeLessThanOrEqual(800);
      }
    },
  );

  test("long runs go mostly in fours", () => {
    for (const count of [11, 12, 15, 16]) {
      const { placings } = solved(notesOn(scale(count, 21), 0.3, hand));
      const lengths = placings.map(({ fingers }) => fingers.length);
      expect(lengths.filter((length) => length === 4).length).toBeGreaterThanOrEqual(
        Math.ceil(count / 4) - 1,
      );
      expect(Math.min(...lengths)).toBeGreaterThanOrEqual(3);
    }
  });

  test("a slow scale is connected like a quick one", () => {
    expect(fingered(notesOn(scale(8, 21), 2, hand))).toBe(fingered(notesOn(scale(8, 21), 0.3, hand)));
  });
});

describe("turns", () => {
  test.each([
    ["F4 A4 G4", "2 1 o 1 2"],
    ["E4 C4 D4", "1 2 o 2 1"],
    ["C4 D4 E4 D4 C4", "3 2 1 o 1 2 3"],
    // The rising group ends on the thumb; that fixes the finger of its bottom note, and so of the group before.
    ["E4 D4 C4 D4 E4", "1 2 3 o 3 2 1"],
    ["F4 E4 D4 C4 D4 E4 F4", "1 2 3 4 o 4 3 2 1"],
  ])("%s", (written, wanted) => {
    expect(fingered(lineOf(written))).toBe(wanted);
  });

  test("a crossing to a lone top note, where no thumb would be on it, is avoided", () => {
    const { placings } = solved(lineOf("C4 D4 E4 F4 G4 F4 E4 D4"));
    expect(sumTerms(placings).has("turn")).toBe(false);
  });
});

describe("repeated notes and ornaments", () => {
  test("one string again: the same finger when there is time, another when there is not", () => {
    expect(fingered(lineOf("C4 C4 C4 C4", { seconds: 1 }))).toBe("2 | 2 | 2 | 2");
    const { fingers } = solved(lineOf("C4 C4 C4 C4", { seconds: 0.2 }));
    for (const [i, [finger]] of fingers.slice(1).entries()) expect(finger).not.toBe(fingers[i]![0]);
  });

  test.each([
    ["a grace note from above", "D5 C5", "1 2"],
    ["three rising graces", "C4 D4 E4 F4", "4 3 2 1"],
    ["a mordent", "C4 D4 C4", "2 1 o 1 2"],
    ["a lower mordent", "D4 C4 D4", "1 2 o 2 1"],
  ])("%s: %s", (_, written, wanted) => {
    expect(fingered(lineOf(written, { seconds: [0.09, 0.09, 0.09, 1] }))).toBe(wanted);
  });
});

describe("chords in a row", () => {
  test.each([
    ["thirds", "C4+E4 D4+F4 E4+G4", "2+1"],
    ["sixths", "C4+A4 D4+B4 E4+C5", "3+1"],
    ["octaves", "C4+C5 D4+D5 E4+E5", "4+1"],
  ])("parallel %s: the same pair, placed anew each time", (_, written, pair) => {
    expect(fingered(lineOf(written, { seconds: 0.5 }))).toBe([pair, pair, pair].join(" | "));
  });

  test("2 on the string beside the thumb inside a ninth or more is a strain, and charged as one", () => {
    // A harp editor's notes on typical issues say so (theharplegacyproject.com).
    const cramped = (written: string) => sumTerms(solved(lineOf(written)).placings).get("cramped");
    expect(cramped("C4+G4+C5+D5")).toBe(1000);
    expect(cramped("C4+G4+C5+E5")).toBeUndefined();
    expect(cramped("C4+F4+B4+C5")).toBeUndefined();
  });
});

describe("long notes", () => {
  test("the hand comes off on a long note and stays on among short ones", () => {
    expect(fingered(lineOf("C4 D4 E4 G4 A4 G4 E4 D4", { seconds: [0.67, 0.67, 0.67, 1.33, 0.67] }))).toBe(
      "4 3 2 1 | 1 2 3 4",
    );
    expect(fingered(lineOf("C4 E4 D4 C4", { seconds: [0.3, 1.7, 0.3] }))).toBe("2 1 | 1 2");
    expect(fingered(lineOf("C4 E4 D4 C4", { seconds: 0.3 }))).toBe("2 1 o 1 2 3");
  });

  test("no placing waits through a long note", () => {
    for (const { first, last } of solved(lineOf("C4 D4 E4 F4", { seconds: [0.3, 2, 0.3] })).placings) {
      expect(first <= 1 && last > 1).toBe(false);
    }
  });

  test("a fermata counts as long among equal notes", () => {
    const even = lineOf("C4 E4 D4 C4", { seconds: 1.2 });
    expect(fingered(even)).toBe("2 1 o 1 2 3");
    const events = even.events.map((event, i) => (i === 1 ? { ...event, held: true } : event));
    expect(fingered({ ...even, events })).toBe("2 1 | 1 2");
  });
});

describe("what can begin at an event", () => {
  test("is every placing there is, at most fifteen: 1,000 random lines", () => {
    for (let seed = 0; seed < 1_000; seed++) {
      const line = randomLine(new Dice(seed), { events: 4 });
      const costs = new LineCosts(line, defaultWeights);
      const found = choicesFrom(costs, 0).map(({ last, fingers }) => `${last}: ${fingers.join("")}`);
      const wanted = placingsFrom(line, 0).map(({ last, fingers }) => {
        const digits = fingers.flat().sort((a, b) => b! - a!);
        return `${last}: ${digits.join("")}`;
      });
      expect(found.length).toBeLessThanOrEqual(15);
      expect(found.sort()).toEqual(wanted.sort());
    }
  });

  test("backwards, as many end where they began", () => {
    const line = notesOn(scale(4));
    const count = (of: FingeringLine) => choicesFrom(new LineCosts(of, defaultWeights), 0).length;
    expect([count(line), count(backwards(line))]).toEqual([15, 15]);
  });
});
