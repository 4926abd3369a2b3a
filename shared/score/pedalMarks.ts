import type { Span } from "../text/span.ts";
import type { Letter, Measure, Part } from "./model.ts";
import { compare, type Rational } from "./rational.ts";

/** What is written about the pedals at one place, in a diagram or in words. */
export interface PedalMark {
  readonly measure: Measure;
  /** From the start of the measure. */
  readonly position: Rational;
  /** Alterations by letter, in semitones; only those that are named. */
  readonly pedals: ReadonlyMap<Letter, number>;
  readonly span: Span;
}

/**
 * The pedal marks of a part in order of time: `<harp-pedals>` diagrams, and words such as `Mi ♮ Fa ♯` or `F# Bb`. Letters
 * with a plain `#` or `b` count only where the words say nothing else.
 * Source: MusicXML 4.0, harp-pedals; that changes are written in words, common practice, no source.
 */
export function pedalMarks(part: Part): PedalMark[] {
  const inWords = part.words.flatMap(({ text, rehearsal, measure, position, span }): PedalMark[] => {
    const pedals = rehearsal ? undefined : pedalsInWords(text);
    return pedals ? [{ measure, position, pedals, span }] : [];
  });
  return [...part.pedalDiagrams.filter(({ pedals }) => pedals.size > 0), ...inWords].sort(
    (a, b) => a.measure.index - b.measure.index || compare(a.position, b.position),
  );
}

const syllables: Readonly<Record<string, Letter>> = {
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

const named = /(?<![\p{L}])(do|ut|r[eé]|mi|fa|sol|la|si|[A-G])\s?([♭♮♯#b])(?![\p{L}])/giu;

function pedalsInWords(text: string): ReadonlyMap<Letter, number> | undefined {
  const pedals = new Map<Letter, number>();
  let plain = false;
  const rest = text.replace(named, (whole, name: string, sign: string) => {
    // A lone small letter is a word in many languages.
    if (/^[a-g]$/.test(name)) return whole;
    plain ||= /[#b]/i.test(sign);
    pedals.set(syllables[name.toLowerCase()] ?? (name as Letter), alterations[sign.toLowerCase()]!);
    return "";
  });
  if (pedals.size === 0 || (plain && /\p{L}/u.test(rest))) return undefined;
  return pedals;
}
