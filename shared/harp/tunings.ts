import type { Harp } from "./instruments.ts";
import { hasString, letterIndex } from "./strings.ts";

/** Which letters are flat on open strings. */
export interface OpenTuning {
  readonly name: string;
  readonly title: string;
  readonly flats: readonly string[];
}

/**
 * Tunings of a lever harp with no lever up, named after the major scale that its open strings give. C and E flat are
 * the most common, then A flat; F is met where only F, C and B have levers.
 * Source: morleyharps.co.uk, how are harps tuned; hipharp.com, lever harp keys. Which notes each has is arithmetic.
 */
export const openTunings: readonly OpenTuning[] = [
  { name: "C", title: "C major", flats: [] },
  { name: "F", title: "F major", flats: ["B"] },
  { name: "Bb", title: "B flat major", flats: ["B", "E"] },
  { name: "Eb", title: "E flat major", flats: ["B", "E", "A"] },
  { name: "Ab", title: "A flat major", flats: ["B", "E", "A", "D"] },
];

export function openTuning(name: string): OpenTuning | undefined {
  return openTunings.find((candidate) => candidate.name === name);
}

const letters = "CDEFGAB";
/** Semitones above C. */
const naturals = [0, 2, 4, 5, 7, 9, 11];

/** A pitch on a string: how far the string is altered from its natural, in semitones; −1 flat, 1 sharp. */
export interface StringPitch {
  readonly string: number;
  readonly alter: number;
}

/** Semitones from C in octave −1, so that middle C is 60. */
export function midiPitch({ string, alter }: StringPitch): number {
  return 12 * (Math.floor(string / 7) + 1) + naturals[letterIndex(string)]! + alter;
}

/** How the strings of a harp are set: what each can sound. */
export interface Stringing {
  readonly harp: Harp;
  /** Of a lever harp; a pedal harp has all three settings of every letter. */
  readonly open?: OpenTuning;
  /** Letters whose strings have a lever; all without it. */
  readonly levers?: readonly string[];
}

/**
 * The alterations that a string can sound, lowest first: on a lever harp that of the open string and a semitone more,
 * on a pedal harp flat, natural and sharp. Empty for a string that the harp does not have.
 *
 * The lowest C and D of a pedal harp have no discs and keep the pitch that they were tuned to; natural is assumed.
 * Source: reesharps.com on two pitches a string; harpspectrum.org, composing for harp; an encyclopedia's article on
 * the pedal harp.
 */
export function alterationsOf({ harp, open, levers }: Stringing, string: number): readonly number[] {
  if (!hasString(harp, string)) return [];
  if (harp.mechanism === "pedal") return withoutDiscs.includes(string) ? [0] : [-1, 0, 1];
  const letter = letters[letterIndex(string)]!;
  const alter = open?.flats.includes(letter) ? -1 : 0;
  return !levers || levers.includes(letter) ? [alter, alter + 1] : [alter];
}

/** C1 and D1. */
const withoutDiscs: readonly number[] = [7, 8];

/**
 * The strings that can sound a written pitch: its own first, then the neighbours that give the same sound under another
 * name. Empty when the harp cannot sound it.
 */
export function stringsSounding(stringing: Stringing, written: StringPitch): StringPitch[] {
  const sound = midiPitch(written);
  const found: StringPitch[] = [];
  for (const string of [written.string, written.string - 1, written.string + 1]) {
    for (const alter of alterationsOf(stringing, string)) {
      const pitch = { string, alter };
      if (midiPitch(pitch) === sound) found.push(pitch);
    }
  }
  return found;
}

/** Sharps (above 0) or flats (below) of the major keys, by name. */
export const majorKeys: readonly { readonly name: string; readonly fifths: number }[] = [
  { name: "Ab", fifths: -4 },
  { name: "Eb", fifths: -3 },
  { name: "Bb", fifths: -2 },
  { name: "F", fifths: -1 },
  { name: "C", fifths: 0 },
  { name: "G", fifths: 1 },
  { name: "D", fifths: 2 },
  { name: "A", fifths: 3 },
  { name: "E", fifths: 4 },
  { name: "B", fifths: 5 },
  { name: "F#", fifths: 6 },
  { name: "C#", fifths: 7 },
];

/** The letters in the order in which sharps join a key signature; flats join in the reverse order. */
const orderOfSharps = "FCGDAEB";

/** How a key signature of so many sharps (above 0) or flats (below) alters a letter, in semitones. */
export function alterInKey(fifths: number, letter: string): number {
  const place = orderOfSharps.indexOf(letter);
  if (fifths > 0) return place < fifths ? 1 : 0;
  return 6 - place < -fifths ? -1 : 0;
}

/** The major keys that an open tuning reaches when every string has a lever, from the most flats to the most sharps. */
export function keysWithLevers(tuning: OpenTuning): string[] {
  return majorKeys
    .filter(({ fifths }) =>
      [...letters].every((letter) => {
        const open = tuning.flats.includes(letter) ? -1 : 0;
        const wanted = alterInKey(fifths, letter);
        return wanted === open || wanted === open + 1;
      }),
    )
    .map(({ name }) => name);
}
