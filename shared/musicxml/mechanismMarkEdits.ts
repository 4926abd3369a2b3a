import type { Edit } from "../text/edits.ts";
import { indentBefore, indentUnit, lineEndBefore } from "./layout.ts";
import type { NoteSite } from "./noteSite.ts";

/** A diagram of pedals, or words. */
export type MechanismSign =
  | { readonly words: string }
  /** Letters with their alterations in semitones, in the order in which the pedals stand. */
  | { readonly pedals: readonly (readonly [letter: string, alter: number])[] };

/** What is to be written about pedals or levers at one place. */
export interface MechanismMarkToWrite {
  readonly sign: MechanismSign;
  readonly placement: "above" | "below";
  /** Undefined in a part of one staff. */
  readonly staff: number | undefined;
}

/**
 * The edit that writes such marks just before a note, in their order.
 * Source for the elements and their order: MusicXML 4.0, musicxml.xsd, direction and harp-pedals.
 */
export function mechanismMarksBefore(
  text: string,
  note: Pick<NoteSite, "span" | "firstChild">,
  marks: readonly MechanismMarkToWrite[],
): Edit {
  const at = note.span.start;
  const indent = indentBefore(text, at);
  const lineEnd = lineEndBefore(text, at);
  const unit = indentUnit(indent, indentBefore(text, note.firstChild));
  const line = (depth: number): string =>
    indent === undefined ? "" : `${lineEnd}${indent}${unit.repeat(depth)}`;
  const directions = marks.map(({ sign, placement, staff }) =>
    [
      `<direction placement="${placement}">`,
      `${line(1)}<direction-type>`,
      ...signLines(sign, isUnicode(text)).map(([depth, content]) => `${line(2 + depth)}${content}`),
      `${line(1)}</direction-type>`,
      ...(staff === undefined ? [] : [`${line(1)}<staff>${staff}</staff>`]),
      `${line(0)}</direction>${line(0)}`,
    ].join(""),
  );
  return { span: { start: at, end: at }, text: directions.join("") };
}

function signLines(sign: MechanismSign, unicode: boolean): [depth: number, content: string][] {
  if ("words" in sign) {
    const words = unicode
      ? sign.words
      : sign.words.replace(/[^\x20-\x7e]/g, (character) => `&#${character.codePointAt(0)};`);
    return [[0, `<words>${words}</words>`]];
  }
  const tunings = sign.pedals.flatMap(([letter, alter]): [number, string][] => [
    [1, "<pedal-tuning>"],
    [2, `<pedal-step>${letter}</pedal-step>`],
    [2, `<pedal-alter>${alter}</pedal-alter>`],
    [1, "</pedal-tuning>"],
  ]);
  return [[0, "<harp-pedals>"], ...tunings, [0, "</harp-pedals>"]];
}

/** Other encodings lack the signs: there they are written as references. */
function isUnicode(text: string): boolean {
  const declared = /^\s*<\?xml\s[^?]*?encoding\s*=\s*["']([^"']*)/.exec(text.slice(0, 200))?.[1];
  return declared === undefined || /^utf-?(8|16)/i.test(declared);
}
