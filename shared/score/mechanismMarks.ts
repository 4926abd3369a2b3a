import { noteNames } from "../musicxml/mechanismWords.ts";
import type { Span } from "../text/span.ts";
import type { Letter, Measure, Part } from "./model.ts";
import { stringInHarpOctave } from "./pitch.ts";
import { compare, type Rational } from "./rational.ts";

/** How one pedal or lever is set. */
export interface MarkedSetting {
  readonly letter: Letter;
  /** The string, 7 × octave + letter, of a single lever; undefined for all strings of the letter. */
  readonly string: number | undefined;
  /** In semitones. */
  readonly alter: number;
}

/** What is written about pedals or levers at one place, in a diagram or in words. */
export interface MechanismMark {
  readonly measure: Measure;
  /** From the start of the measure. */
  readonly position: Rational;
  readonly settings: readonly MarkedSetting[];
  readonly kind: "diagram" | "words";
  /** The `<harp-pedals>` or `<words>` element. */
  readonly span: Span;
}

/**
 * The marks of a part in order of time: `<harp-pedals>` diagrams, and words such as `Mi ♮ Fa ♯`, `F# Bb`, or with the
 * harpists' octave `3F♯`. Letters with a plain `#` or `b` count only where the words say nothing else.
 * Source: MusicXML 4.0, harp-pedals; mossharpservice.com, how harp strings are numbered; that changes are written in
 * words, common practice, no source.
 */
export function mechanismMarks(part: Part): MechanismMark[] {
  const inWords = part.words.flatMap(({ text, rehearsal, measure, position, span }): MechanismMark[] => {
    const settings = rehearsal ? undefined : settingsInWords(text);
    return settings ? [{ measure, position, settings, kind: "words", span }] : [];
  });
  const inDiagrams = part.pedalDiagrams.flatMap(({ pedals, measure, position, span }): MechanismMark[] => {
    const settings = [...pedals].map(([letter, alter]) => ({ letter, string: undefined, alter }));
    return settings.length > 0 ? [{ measure, position, settings, kind: "diagram", span }] : [];
  });
  return [...inDiagrams, ...inWords].sort(
    (a, b) => a.measure.index - b.measure.index || compare(a.position, b.position),
  );
}

/** Letters by the syllables that stand for them, in small letters. */
export const letterOfSyllable: Readonly<Record<string, Letter>> = {
  do: "C",
  ut: "C",
  re: "D",
  ré: "D",
  mi: "E",
  fa: "F",
  sol: "G",
  la: "A",
  si: "B",
};

const alterations: Readonly<Record<string, number>> = { "♭": -1, b: -1, "♮": 0, "♯": 1, "#": 1 };

const named = new RegExp(`(?<![\\p{L}])([0-7])?(${noteNames})\\s?([♭♮♯#b])(?![\\p{L}])`, "giu");

function settingsInWords(text: string): MarkedSetting[] | undefined {
  const settings = new Map<string, MarkedSetting>();
  let plain = false;
  const rest = text.replace(named, (whole, octave: string | undefined, name: string, sign: string) => {
    // A lone small letter is a word in many languages.
    if (/^[a-g]$/.test(name)) return whole;
    plain ||= /[#b]/i.test(sign);
    const letter = letterOfSyllable[name.toLowerCase()] ?? (name as Letter);
    const string = octave === undefined ? undefined : stringInHarpOctave(letter, Number(octave));
    settings.set(`${letter} ${string}`, { letter, string, alter: alterations[sign.toLowerCase()]! });
    return "";
  });
  if (settings.size === 0 || (plain && /\p{L}/u.test(rest))) return undefined;
  return [...settings.values()];
}
