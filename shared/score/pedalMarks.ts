import { type MechanismMark, mechanismMarks } from "./mechanismMarks.ts";
import type { Letter, Part } from "./model.ts";

/** What is written about the pedals at one place, in a diagram or in words. */
export interface PedalMark extends MechanismMark {
  /** Alterations by letter, in semitones; only those that are named. */
  readonly pedals: ReadonlyMap<Letter, number>;
}

/** The pedal marks of a part in order of time. */
export function pedalMarks(part: Part): PedalMark[] {
  return mechanismMarks(part).map((mark) => ({
    ...mark,
    pedals: new Map(mark.settings.map(({ letter, alter }) => [letter, alter])),
  }));
}
