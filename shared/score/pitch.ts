import type { Letter, Pitch } from "./model.ts";

const letters = "CDEFGAB";

/** 7 × octave + letter (C = 0): the string that plays a written pitch, whatever its accidental. */
export function stringOf(pitch: Pitch): number {
  return 7 * pitch.octave + indexOfLetter(pitch.letter);
}

export function letterOf(string: number): Letter {
  return letters[((string % 7) + 7) % 7] as Letter;
}

/** C = 0 … B = 6. */
export function indexOfLetter(letter: Letter): number {
  return letters.indexOf(letter);
}

export function octaveOf(string: number): number {
  return Math.floor(string / 7);
}

/** `C4`: scientific, middle C is C4. */
export function stringName(string: number): string {
  return `${letterOf(string)}${octaveOf(string)}`;
}

/** `F#4`, `Bb3`; microtones show as their nearest semitones. */
export function pitchName(pitch: Pitch): string {
  const semitones = Math.round(pitch.alter);
  const sign = semitones > 0 ? "#".repeat(semitones) : "b".repeat(-semitones);
  return `${pitch.letter}${sign}${pitch.octave}`;
}

/**
 * The octave as harpists count it, from the top: an octave runs from E down to F, and middle C is in the fourth.
 * Source: morleyharps.co.uk, compass explained; mossharpservice.com, how harp strings are numbered.
 */
export function harpOctave(string: number): number {
  return highestOctave(letterOf(string)) - octaveOf(string);
}

/** The string of a letter in an octave as harpists count it: `harpOctave` the other way round. */
export function stringInHarpOctave(letter: Letter, octave: number): number {
  return 7 * (highestOctave(letter) - octave) + indexOfLetter(letter);
}

/** The scientific octave of a letter's string in the harpists' octave 0. */
function highestOctave(letter: Letter): number {
  return indexOfLetter(letter) <= 2 ? 8 : 7;
}

const ordinals = [
  "octave 0",
  "1st octave",
  "2nd octave",
  "3rd octave",
  "4th octave",
  "5th octave",
  "6th octave",
  "7th octave",
];

/** `C string, 4th octave`. */
export function harpStringName(string: number): string {
  const octave = harpOctave(string);
  return `${letterOf(string)} string, ${ordinals[octave] ?? `octave ${octave}`}`;
}

export function intervalName(steps: number): string {
  const names = [
    "unison",
    "second",
    "third",
    "fourth",
    "fifth",
    "sixth",
    "seventh",
    "octave",
    "ninth",
    "tenth",
    "eleventh",
    "twelfth",
  ];
  return names[steps] ?? `span of ${steps + 1} strings`;
}
