import { describe, expect, test } from "vitest";
import { harpPreset } from "../../shared/harp/instruments.ts";
import { stringNamed } from "../../shared/harp/strings.ts";
import {
  alterationsOf,
  keysWithLevers,
  midiPitch,
  openTuning,
  openTunings,
  type Stringing,
  stringsSounding,
} from "../../shared/harp/tunings.ts";

const pedal: Stringing = { harp: harpPreset("pedal-47")! };
const lever = (open: string, levers?: readonly string[]): Stringing => ({
  harp: harpPreset("lever-36")!,
  open: openTuning(open)!,
  levers,
});

describe("sounds", () => {
  // The MIDI standard: middle C is 60, A above it 69.
  test("middle C is 60, the A above it 69, C flat below it 59", () => {
    expect(midiPitch({ string: 28, alter: 0 })).toBe(60);
    expect(midiPitch({ string: stringNamed("A4")!, alter: 0 })).toBe(69);
    expect(midiPitch({ string: 28, alter: -1 })).toBe(59);
  });
});

describe("pedal harp", () => {
  // wiki.youngcomposers.com, Harp: every pitch class except D, G and A exists on two strings.
  test("every sound but D, G and A exists on two strings", () => {
    const once: number[] = [];
    for (let letter = 0; letter < 7; letter += 1) {
      for (const alter of [-1, 0, 1]) {
        const written = { string: stringNamed("C4")! + letter, alter };
        if (stringsSounding(pedal, written).length === 1) once.push(midiPitch(written) % 12);
      }
    }
    expect(once.sort((a, b) => a - b)).toEqual([2, 7, 9]);
  });

  // An encyclopedia's article on the pedal harp; harpspectrum.org, composing for harp.
  test("the lowest C and D keep the pitch that they were tuned to; E has three", () => {
    expect(alterationsOf(pedal, stringNamed("C1")!)).toEqual([0]);
    expect(alterationsOf(pedal, stringNamed("D1")!)).toEqual([0]);
    expect(alterationsOf(pedal, stringNamed("E1")!)).toEqual([-1, 0, 1]);
    expect(alterationsOf(pedal, stringNamed("C2")!)).toEqual([-1, 0, 1]);
  });
});

describe("lever harp", () => {
  // reesharps.com, two pitches on a string.
  test("a string has two sounds, a semitone apart; without its lever one", () => {
    for (const { name } of openTunings) {
      for (let string = stringNamed("C2")!; string <= stringNamed("C7")!; string += 1) {
        const [open, up] = alterationsOf(lever(name), string);
        expect(up).toBe(open! + 1);
      }
    }
    expect(alterationsOf(lever("F", ["F", "C", "B"]), stringNamed("G4")!)).toEqual([0]);
    expect(alterationsOf(lever("F", ["F", "C", "B"]), stringNamed("B4")!)).toEqual([-1, 0]);
    expect(alterationsOf(lever("C"), stringNamed("B1")!)).toEqual([]);
  });

  test("D flat 4 on a harp tuned in E flat is the C string with its lever up; in A flat it is its own", () => {
    const written = { string: stringNamed("D4")!, alter: -1 };
    expect(stringsSounding(lever("Eb"), written)).toEqual([{ string: 28, alter: 1 }]);
    expect(stringsSounding(lever("Ab"), written)).toEqual([written, { string: 28, alter: 1 }]);
    expect(stringsSounding(lever("C"), { string: stringNamed("B4")!, alter: -1 })).toEqual([
      { string: stringNamed("A4")!, alter: 1 },
    ]);
    expect(stringsSounding(lever("Eb", []), written)).toEqual([]);
  });

  // hipharp.com, lever harp keys; morleyharps.co.uk, how are harps tuned: E flat reaches eight keys, from three flats
  // to four sharps. The others by the same arithmetic.
  test.each([
    ["C", "C G D A E B F# C#"],
    ["F", "F C G D A E B F#"],
    ["Bb", "Bb F C G D A E B"],
    ["Eb", "Eb Bb F C G D A E"],
    ["Ab", "Ab Eb Bb F C G D A"],
  ])("open strings in %s reach %s", (name, keys) => {
    expect(keysWithLevers(openTuning(name)!).join(" ")).toBe(keys);
  });
});
