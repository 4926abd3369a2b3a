const letters = "CDEFGAB";

/** How a harp changes the pitch of its strings: one lever a string, or seven pedals, one for all strings of a letter. */
export type Mechanism = "lever" | "pedal";

/** The strings of a harp: diatonic, so that the highest follows from the lowest by counting. */
export interface StringSet {
  /** String index of the lowest: 7 × octave + letter (C = 0), scientific octaves. */
  readonly lowest: number;
  readonly count: number;
}

/** The index of a string's name: `C4` is 28, middle C. Undefined for anything else than a letter and an octave. */
export function stringNamed(name: string): number | undefined {
  const parts = /^([A-G])(\d)$/.exec(name);
  return parts ? 7 * Number(parts[2]) + letters.indexOf(parts[1]!) : undefined;
}

export function highestString({ lowest, count }: StringSet): number {
  return lowest + count - 1;
}

export function hasString(set: StringSet, string: number): boolean {
  return string >= set.lowest && string <= highestString(set);
}

/**
 * The number of a string counted from the highest, which is 1: as some makers count, and as MusicXML does.
 * Undefined for a string that the harp does not have.
 * Source: MusicXML 4.0, string-number; stephaniecurciopublications.com, lesson 3.
 */
export function numberFromTop(set: StringSet, string: number): number | undefined {
  return hasString(set, string) ? highestString(set) - string + 1 : undefined;
}

/** The string with a number counted from the highest. Undefined when the harp has no such number. */
export function stringFromTop(set: StringSet, number: number): number | undefined {
  const string = highestString(set) - number + 1;
  return Number.isInteger(number) && hasString(set, string) ? string : undefined;
}

/** C = 0 … B = 6. */
export function letterIndex(string: number): number {
  return ((string % 7) + 7) % 7;
}
