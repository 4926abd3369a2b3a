import { describe, expect, test } from "vitest";
import { describedHarp, harpPreset, harpPresets, harpRange } from "../../shared/harp/instruments.ts";
import { spacingAtMm, usualSpacingMm } from "../../shared/harp/spacing.ts";
import { highestString, numberFromTop, stringFromTop, stringNamed } from "../../shared/harp/strings.ts";
import { harpOctave, stringName } from "../../shared/score/pitch.ts";

const range = (name: string): string => {
  const { lowest, highest } = harpRange(harpPreset(name)!);
  return `${stringName(lowest)}-${stringName(highest)}`;
};

describe("the range of a harp follows from its lowest string and its count", () => {
  // Lowest strings: see each preset's source; the published ones are checked here against the highest string too.
  test.each([
    // An encyclopedia's article on the pedal harp; morleyharps.co.uk, compass explained.
    ["pedal-47", "C1-G7"],
    // From memory.
    ["pedal-46", "D1-G7"],
    // A page on harp sizes, weak.
    ["pedal-44", "D1-E7"],
    // ABRSM harp syllabuses 2005 and 2019 for the bottom string.
    ["lever-34", "C2-A6"],
    // From memory: makers' catalogues.
    ["lap-22", "C4-C7"],
    ["lap-26", "C3-G6"],
    ["lever-27", "C3-A6"],
    ["lever-29", "A2-A6"],
    ["lever-36", "C2-C7"],
    ["lever-38", "A1-C7"],
    ["lever-40", "G1-D7"],
    ["pedal-40", "A1-E7"],
  ])("%s: %s", (name, wanted) => {
    expect(range(name)).toBe(wanted);
  });

  test("every preset has its own name, its count in the name, and a source", () => {
    expect(new Set(harpPresets.map(({ name }) => name)).size).toBe(harpPresets.length);
    for (const { name, count, title, source } of harpPresets) {
      expect(name.endsWith(`-${count}`), name).toBe(true);
      expect(title).toContain(`${count}-string`);
      expect(source).not.toBe("");
    }
  });

  test("a harp of one's own: 36 strings from A1 reach A6", () => {
    const harp = describedHarp({ lowest: "A1", strings: 36 });
    expect(stringName(highestString(harp))).toBe("A6");
    expect(harp.mechanism).toBe("lever");
    expect(describedHarp({ lowest: "C1", strings: 47, mechanism: "pedal" })).toMatchObject({
      lowest: harpPreset("pedal-47")!.lowest,
      count: 47,
      spacingMm: usualSpacingMm,
    });
    expect(() => describedHarp({ lowest: "H1", strings: 36 })).toThrow(RangeError);
  });
});

describe("numbers from the top", () => {
  // By counting; MusicXML 4.0, string-number: the highest string is 1.
  test.each([
    ["pedal-47", 26],
    ["pedal-46", 26],
    ["lever-34", 20],
  ])("middle C on %s is string %i", (name, number) => {
    const harp = harpPreset(name)!;
    expect(numberFromTop(harp, stringNamed("C4")!)).toBe(number);
    expect(stringFromTop(harp, number)).toBe(28);
    expect(numberFromTop(harp, highestString(harp))).toBe(1);
    expect(numberFromTop(harp, harp.lowest)).toBe(harp.count);
  });

  test("strings that a harp does not have have no number, and numbers beyond it no string", () => {
    const harp = harpPreset("lap-22")!;
    expect(numberFromTop(harp, stringNamed("B3")!)).toBeUndefined();
    expect(numberFromTop(harp, stringNamed("D7")!)).toBeUndefined();
    expect([0, 23, 1.5].map((number) => stringFromTop(harp, number))).toEqual([
      undefined,
      undefined,
      undefined,
    ]);
  });

  test("names and indices belong together; other names have none", () => {
    for (let string = 7; string < 56; string += 1) expect(stringNamed(stringName(string))).toBe(string);
    for (const name of ["", "C", "c4", "H4", "C#4", "C10"]) expect(stringNamed(name)).toBeUndefined();
  });

  // morleyharps.co.uk, compass explained: the top string of a 47-string harp lies in the octave above the first.
  test("the octaves that harpists count begin on the strings that the presets end with", () => {
    expect(harpOctave(highestString(harpPreset("pedal-47")!))).toBe(0);
    expect(harpOctave(highestString(harpPreset("pedal-44")!))).toBe(1);
    expect(harpOctave(harpPreset("pedal-47")!.lowest)).toBe(7);
  });
});

describe("spacing", () => {
  // heartlandharps.com and cindyblevinsmusic.com on string spacing.
  test("is about 13 to 14 mm in the top octave, 15 to 17 mm in the bass, 15 at middle C", () => {
    for (const name of ["F6", "C7", "G7"]) {
      expect(spacingAtMm(stringNamed(name)!)).toBeGreaterThanOrEqual(13);
      expect(spacingAtMm(stringNamed(name)!)).toBeLessThanOrEqual(14);
    }
    for (const name of ["C1", "C2", "C3"]) {
      expect(spacingAtMm(stringNamed(name)!)).toBeGreaterThanOrEqual(15);
      expect(spacingAtMm(stringNamed(name)!)).toBeLessThanOrEqual(17);
    }
    expect(spacingAtMm(stringNamed("C4")!)).toBe(usualSpacingMm);
  });

  test("narrows towards the top without a jump, and keeps its proportion on a narrower harp", () => {
    for (let string = 0; string < 60; string += 1) {
      const fall = spacingAtMm(string) - spacingAtMm(string + 1);
      expect(fall).toBeGreaterThanOrEqual(0);
      expect(fall).toBeLessThan(0.2);
      expect(spacingAtMm(string, 12)).toBeCloseTo((spacingAtMm(string) * 12) / usualSpacingMm);
    }
  });
});
