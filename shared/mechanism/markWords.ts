import { harpOctave, letterOf } from "../score/pitch.ts";
import { pedalOrder } from "./pedalFeet.ts";

/** How the notes are named in print. */
export type PedalWords = "letters" | "syllables";

/** A setting to be told of: of a pedal or of all strings of a letter; of a single lever its string. */
export interface SettingToWrite {
  /** C = 0 … B = 6. */
  readonly letter: number;
  readonly string: number | undefined;
  readonly alter: number;
}

const syllables = ["Do", "Ré", "Mi", "Fa", "Sol", "La", "Si"];
const signs = ["♭", "♮", "♯"];

/**
 * `F♯ C♮`, `Fa ♯ Do ♮`; with the octave as harpists count it, `3F♯`, of a single lever.
 * Common practice, no source; octaves before the letter: mossharpservice.com, how harp strings are numbered.
 */
export function settingWords(settings: readonly SettingToWrite[], names: PedalWords = "letters"): string {
  return inOrder(settings)
    .map(({ letter, string, alter }) => {
      const octave = string === undefined ? "" : String(harpOctave(string));
      const name = names === "syllables" ? `${syllables[letter]} ` : letterOf(letter);
      return `${octave}${name}${signs[alter + 1]}`;
    })
    .join(" ");
}

/** Pedals as they stand, from left to right; levers from the lowest string. */
function inOrder(settings: readonly SettingToWrite[]): SettingToWrite[] {
  return [...settings].sort(
    (a, b) =>
      (a.string ?? -1) - (b.string ?? -1) || pedalOrder.indexOf(a.letter) - pedalOrder.indexOf(b.letter),
  );
}
