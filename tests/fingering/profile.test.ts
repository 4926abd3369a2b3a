import { describe, expect, test } from "vitest";
import { comfortFor } from "../../shared/fingering/comfort.ts";
import type { FingeringLine, TermName } from "../../shared/fingering/model.ts";
import { sumTerms } from "../../shared/fingering/model.ts";
import {
  namedProfiles,
  type Profile,
  sameEffortSteps,
  weightNames,
  weightsFor,
} from "../../shared/fingering/profile.ts";
import { solve } from "../../shared/fingering/solve.ts";
import { defaultWeights, reachSteps } from "../../shared/fingering/weights.ts";
import { spell } from "../support/enumerate.ts";
import { lineOf, notesOn, scale } from "../support/lines.ts";
import { Dice, randomLine } from "../support/randomLines.ts";

const fingered = (line: FingeringLine, profile: Profile): string =>
  spell(solve(line, weightsFor(profile)).placings);

const terms = (line: FingeringLine, profile: Profile): Map<TermName, number> =>
  sumTerms(solve(line, weightsFor(profile)).placings);

const pairs = ["1-2", "1-3", "1-4", "2-3", "2-4", "3-4"];

describe("the usual profile", () => {
  test("is the default table", () => {
    expect(weightsFor({})).toEqual(defaultWeights);
    expect(weightsFor(namedProfiles.usual!)).toEqual(defaultWeights);
    const spelledOut: Profile = {
      level: 4,
      hand: "medium",
      spacingMm: 15,
      harp: "pedal-47",
      fifths: "1-3",
      closeTriad: "3 2 1",
      comingOff: "usual",
      crossing: "usual",
      singleNote: "second",
      lowLeft: "fourth",
      repeatedNote: "bySpeed",
      slides: "asWritten",
      weights: {},
    };
    expect(weightsFor(spelledOut)).toEqual(defaultWeights);
  });

  test("is left as it was by the tables of other profiles", () => {
    const before = structuredClone(defaultWeights);
    for (const name of weightNames) weightsFor({ hand: "small", crossing: "fours", weights: { [name]: 1 } });
    expect(defaultWeights).toEqual(before);
  });
});

describe("level", () => {
  // Beginners have no fourth finger: octaves with 3 and 1, octave triads with 3 2 1. Common practice, no source.
  test.each([
    ["C4+C5", "3+1"],
    ["C4+A4", "3+1"],
    ["C4+G4+C5", "3+2+1"],
    ["C4+F4+C5", "3+2+1"],
    ["C4 D4 E4", "3 2 1"],
    ["C4 D4 E4 F4 G4 A4", "3 2 1 x 3 2 1"],
    ["A4 G4 F4 E4 D4 C4", "1 2 3 x 1 2 3"],
  ])("three fingers: %s is %s", (written, wanted) => {
    expect(fingered(lineOf(written), { level: 3 })).toBe(wanted);
  });

  test("two fingers: scales of any length, up and down, use 1 and 2 only", () => {
    for (let notes = 2; notes <= 9; notes += 1) {
      for (const count of [notes, -notes]) {
        const line = notesOn(scale(count), 0.4);
        const found = solve(line, weightsFor({ level: 2 }));
        expect(new Set(found.fingers.flat())).toEqual(new Set([1, 2]));
        expect(sumTerms(found.placings).has("level")).toBe(false);
      }
    }
    expect(fingered(notesOn(scale(4)), { level: 2 })).toBe("2 1 x 2 1");
  });

  test("a chord that needs more fingers still gets an answer, and the cost says why", () => {
    const line = lineOf("C4+E4+G4+C5");
    expect(fingered(line, { level: 3 })).toBe("4+3+2+1");
    expect(terms(line, { level: 3 }).get("level")).toBe(defaultWeights.impossible);
    expect(terms(line, { level: 2 }).get("level")).toBe(2 * defaultWeights.impossible);
    expect(terms(line, {}).has("level")).toBe(false);
  });

  test("never uses a finger beyond it on single notes with time enough: 500 random lines", () => {
    for (let seed = 0; seed < 500; seed += 1) {
      const dice = new Dice(1_300_000 + seed);
      const strings = Array.from({ length: dice.whole(1, 12) }, () => dice.whole(14, 40));
      for (const level of [2, 3] as const) {
        const found = solve(notesOn(strings, 0.4), weightsFor({ level }));
        expect(Math.max(...found.fingers.flat().map((finger) => finger!))).toBeLessThanOrEqual(level);
      }
    }
  });
});

describe("hand and spacing", () => {
  test("a small hand spans one step less with every pair, a large one a step more", () => {
    const [small, large] = [weightsFor({ hand: "small" }), weightsFor({ hand: "large" })];
    for (const pair of pairs) {
      const [a, b] = pair.split("-").map(Number) as [1 | 2 | 3, 2 | 3 | 4];
      expect(reachSteps(small, a, b)).toBe(reachSteps(defaultWeights, a, b) - 1);
      expect(reachSteps(large, a, b)).toBe(reachSteps(defaultWeights, a, b) + 1);
      // The widest reach is as hard for each hand.
      expect(small.stretch[pair]![reachSteps(small, a, b)]).toBe(
        defaultWeights.stretch[pair]![reachSteps(defaultWeights, a, b)],
      );
    }
  });

  test("the less a hand reaches, the dearer every span, and what is easy stays so", () => {
    // From the least reach to the most.
    const reaches: Profile[] = [
      { hand: "small", spacingMm: 17 },
      { hand: "small" },
      { spacingMm: 15.5 },
      {},
      { spacingMm: 14 },
      { hand: "large" },
      { hand: "large", spacingMm: 12.5 },
    ];
    const tables = reaches.map(weightsFor);
    for (const pair of pairs) {
      for (const rows of ["stretch", "outer"] as const) {
        for (let steps = 1; steps <= 16; steps += 1) {
          const costs = tables.map((table) => {
            const row = table[rows][pair] ?? {};
            const limit = reachSteps(table, Number(pair[0]) as 1, Number(pair[2]) as 2);
            return steps > limit ? Number.POSITIVE_INFINITY : (row[steps] ?? 0);
          });
          expect(costs, `${rows} ${pair} ${steps}`).toEqual(costs.toSorted((a, b) => b - a));
        }
      }
      expect(tables.map((table) => table.stretch[pair]![1])).toEqual(
        tables.map(() => defaultWeights.stretch[pair]![1]),
      );
    }
  });

  test("music costs a small hand no less than a medium one, and a large one no more: 1,000 random lines", () => {
    const tables = [{ hand: "large" }, {}, { hand: "small" }].map((profile) =>
      weightsFor(profile as Profile),
    );
    for (let seed = 0; seed < 1_000; seed += 1) {
      const dice = new Dice(1_400_000 + seed);
      const line = randomLine(dice, { events: dice.whole(1, 8), chords: 0.5 });
      const costs = tables.map((table) => solve(line, table).totalMilli);
      expect(costs, `seed ${seed}`).toEqual(costs.toSorted((a, b) => a - b));
    }
  });

  test("a tenth is easy work for a large hand, wide for a small one, beyond 17 mm not possible for it", () => {
    const tenth = lineOf("C4+E5");
    const stretch = (profile: Profile) => terms(tenth, profile).get("stretch") ?? 0;
    expect(stretch({ hand: "large" })).toBeLessThan(stretch({}));
    expect(stretch({ hand: "small" })).toBeGreaterThan(stretch({}));
    expect(terms(tenth, { hand: "small" }).has("tooWide")).toBe(false);
    expect(terms(tenth, { hand: "small", spacingMm: 17 }).has("tooWide")).toBe(true);
  });

  test("the kind of harp gives the spacing when nothing else does", () => {
    expect(weightsFor({ harp: "lap-22" })).toEqual(weightsFor({ spacingMm: 14 }));
    expect(weightsFor({ harp: "lap-22", spacingMm: 15 })).toEqual(defaultWeights);
  });

  test("spans of equal effort follow the hand, and come to the limit with it", () => {
    const small = { extraSteps: -1, narrower: 1 };
    for (const pair of pairs) {
      const [a, b] = pair.split("-").map(Number) as [1 | 2 | 3, 2 | 3 | 4];
      const most = reachSteps(defaultWeights, a, b);
      expect(sameEffortSteps(pair, most, small)).toBeCloseTo(most - 1);
      expect(sameEffortSteps(pair, 1, small)).toBe(1);
    }
  });

  // A conservatoire's notes on harp notation, hand position: a tenth is a safe reach.
  test("a tenth is comfortable for a medium hand, a ninth for a small one", () => {
    expect(comfortFor({}).steps).toEqual({ "1-2": 4, "1-3": 6, "1-4": 9, "2-3": 2, "2-4": 4, "3-4": 2 });
    expect(comfortFor({ hand: "small" }).steps["1-4"]).toBe(8);
    expect(comfortFor({ hand: "large" }).steps["1-4"]).toBe(9);
    expect(comfortFor({ hand: "large", spacingMm: 13 }).steps["1-4"]).toBeGreaterThan(9);
    expect(comfortFor({ hand: "small" }).comeOffMicros).toBe(comfortFor({}).comeOffMicros);
  });
});

// Common practice, no source.
describe("schools", () => {
  test("fifths with 1 and 2, and only fifths", () => {
    expect(fingered(lineOf("C4+G4"), {})).toBe("3+1");
    expect(fingered(lineOf("C4+G4"), { fifths: "1-2" })).toBe("2+1");
    expect(fingered(lineOf("C4 G4"), { fifths: "1-2" })).toBe("2 1");
    expect(fingered(lineOf("C4+F4"), { fifths: "1-2" })).toBe("2+1");
    expect(fingered(lineOf("C4+A4"), { fifths: "1-2" })).toBe("3+1");
    for (const hand of ["small", "large"] as const) {
      expect(fingered(lineOf("C4+G4"), { hand, fifths: "1-2" })).toBe("2+1");
    }
  });

  test("a close triad with the fourth at the bottom with 4 2 1; other close triads as ever", () => {
    expect(fingered(lineOf("G3+C4+E4"), {})).toBe("3+2+1");
    expect(fingered(lineOf("G3+C4+E4"), { closeTriad: "4 2 1" })).toBe("4+2+1");
    for (const triad of ["C4+E4+G4", "E4+G4+C5"]) {
      expect(fingered(lineOf(triad), { closeTriad: "4 2 1" })).toBe("3+2+1");
    }
  });

  test("coming off: a note of 0.9 s is left by those who come off often, one of 1.25 s held by those who do so late", () => {
    const turnOn = (seconds: number) => lineOf("F4 A4 G4", { seconds: [0.3, seconds] });
    const joint = (seconds: number, comingOff: Profile["comingOff"]) =>
      fingered(turnOn(seconds), { comingOff }).slice(0, 5);
    expect(joint(0.9, "often")).toBe("2 1 |");
    expect(joint(0.9, "usual")).toBe("2 1 o");
    expect(joint(1.25, "usual")).toBe("2 1 |");
    expect(joint(1.25, "late")).toBe("2 1 o");
    expect(joint(0.4, "often")).toBe("2 1 o");
    expect(joint(2.5, "late")).toBe("2 1 |");
  });

  test("crossing: threes, fours, or never with 4", () => {
    const run = (notes: number, crossing: Profile["crossing"]) =>
      fingered(notesOn(scale(notes)), { crossing });
    expect(run(5, "usual")).toBe("2 1 x 3 2 1");
    expect(run(5, "fours")).toBe("1 x 4 3 2 1");
    expect(run(6, "usual")).toBe("3 2 1 x 3 2 1");
    expect(run(6, "fours")).toBe("2 1 x 4 3 2 1");
    expect(run(12, "usual")).toBe("4 3 2 1 x 4 3 2 1 x 4 3 2 1");
    expect(run(12, "threes")).toBe("3 2 1 x 3 2 1 x 3 2 1 x 3 2 1");
    expect(run(8, "usual")).toBe("4 3 2 1 x 4 3 2 1");
    for (let notes = 5; notes <= 16; notes += 1) expect(run(notes, "avoidFourth")).not.toContain("x 4");
    expect(fingered(lineOf("C4+C5"), { crossing: "avoidFourth" })).toBe("4+1");
  });

  test("lone notes: the thumb for melody; low in the left hand another finger than 4", () => {
    expect(fingered(lineOf("C5"), {})).toBe("2");
    expect(fingered(lineOf("C5"), { singleNote: "thumb" })).toBe("1");
    const low = lineOf("C2", { hand: "left" });
    expect(fingered(low, {})).toBe("4");
    expect(fingered(low, { lowLeft: "third" })).toBe("3");
    expect(fingered(low, { lowLeft: "second" })).toBe("2");
    expect(fingered(low, { lowLeft: "fourth", level: 3 })).toBe("2");
    expect(fingered(lineOf("C5", { hand: "left" }), { lowLeft: "third" })).toBe("2");
  });

  test("a string that comes again: by speed, always the same finger, always another", () => {
    const again = (seconds: number, repeatedNote: Profile["repeatedNote"]) =>
      fingered(lineOf("C4 C4", { seconds }), { repeatedNote });
    expect(again(0.6, "bySpeed")).toBe("2 | 2");
    expect(again(0.25, "bySpeed")).toBe("1 | 2");
    expect(again(0.25, "same")).toBe("2 | 2");
    expect(again(0.6, "alternate")).toBe("1 | 2");
  });
});

describe("single weights", () => {
  test("have names for everything that costs, and each can be changed by its name", () => {
    for (const name of [
      "base",
      "hold.cost",
      "cross.3",
      "stretch.1-2.4",
      "outer.1-4.11",
      "longRatio",
      "slide",
    ]) {
      expect(weightNames).toContain(name);
    }
    for (const name of [
      "impossible",
      "lockBroken",
      "slides",
      "cross.0",
      "cross.1",
      "single.usual.0",
      "level.4",
    ]) {
      expect(weightNames).not.toContain(name);
    }
    const changed = weightsFor({
      weights: { base: 700, "cross.3": 900, "stretch.1-2.4": 100, longRatio: 1.25 },
    });
    expect(changed).toEqual({
      ...defaultWeights,
      base: 700,
      cross: [0, 0, 1100, 900, 1200],
      stretch: { ...defaultWeights.stretch, "1-2": { ...defaultWeights.stretch["1-2"], 4: 100 } },
      longRatio: 1.25,
    });
  });

  test("a reach given back to a small hand leaves no hole below it", () => {
    const row = weightsFor({ hand: "small", spacingMm: 17, weights: { "stretch.1-4.11": 3000 } }).stretch[
      "1-4"
    ]!;
    expect(Object.keys(row).map(Number)).toEqual([1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11]);
    expect([row[9], row[10]]).toEqual([3000, 3000]);
  });

  test("that there are not, or that cannot be, are refused", () => {
    expect(() => weightsFor({ weights: { bass: 1 } })).toThrow(RangeError);
    for (const value of [-1, 0.5, Number.NaN, Number.POSITIVE_INFINITY, 1e9]) {
      expect(() => weightsFor({ weights: { base: value } })).toThrow(RangeError);
    }
  });

  test("a range of nothing makes a step of a slope, not nonsense", () => {
    const steep = { "hold.rangeMicros": 0, "separate.rangeMicros": 0, "sameString.fastMicros": 400_000 };
    for (let seed = 0; seed < 100; seed += 1) {
      const line = randomLine(new Dice(1_500_000 + seed), { events: 6 });
      expect(Number.isInteger(solve(line, weightsFor({ weights: steep })).totalMilli)).toBe(true);
    }
  });
});
