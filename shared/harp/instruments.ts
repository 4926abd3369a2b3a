import { usualSpacingMm } from "./spacing.ts";
import { highestString, type Mechanism, type StringSet, stringNamed } from "./strings.ts";

/** A harp as far as fingering needs it. */
export interface Harp extends StringSet {
  readonly mechanism: Mechanism;
  /** At middle C. */
  readonly spacingMm: number;
}

/** A kind of harp that is often met. */
export interface HarpPreset extends Harp {
  readonly name: string;
  /** `34-string lever harp`. */
  readonly title: string;
  /** Where the range comes from. */
  readonly source: string;
}

/** Most lever harps are strung a little narrower than pedal harps (morleyharps.co.uk, string spacing and tension); how
 * much varies by maker, these values are from memory. */
const leverSpacingMm = 14.5;
const lapSpacingMm = 14;

const catalogues = "from memory: makers' catalogues";
const counting = "the highest string follows by counting";

function preset(
  name: string,
  title: string,
  mechanism: Mechanism,
  lowest: string,
  count: number,
  spacingMm: number,
  source: string,
): HarpPreset {
  return { name, title, mechanism, lowest: stringNamed(lowest)!, count, spacingMm, source };
}

/**
 * Harps by size. Counts are exact; makers choose other lowest strings too, so a harp of one's own can be described
 * instead. Most lever harps have 29 to 36 strings, a few 38 (harpspectrum.org, basic harp for beginners).
 */
export const harpPresets: readonly HarpPreset[] = [
  preset("lap-22", "22-string lap harp", "lever", "C4", 22, lapSpacingMm, catalogues),
  preset("lap-26", "26-string lap harp", "lever", "C3", 26, lapSpacingMm, catalogues),
  preset("lever-27", "27-string lever harp", "lever", "C3", 27, leverSpacingMm, catalogues),
  preset("lever-29", "29-string lever harp", "lever", "A2", 29, leverSpacingMm, catalogues),
  preset(
    "lever-34",
    "34-string lever harp",
    "lever",
    "C2",
    34,
    leverSpacingMm,
    `ABRSM harp syllabuses 2005 and 2019: 34 strings, bottom string no higher than two octaves below middle C; ${counting}`,
  ),
  preset("lever-36", "36-string lever harp", "lever", "C2", 36, leverSpacingMm, catalogues),
  preset("lever-38", "38-string lever harp", "lever", "A1", 38, leverSpacingMm, catalogues),
  preset("lever-40", "40-string lever harp", "lever", "G1", 40, leverSpacingMm, catalogues),
  preset("pedal-40", "40-string pedal harp", "pedal", "A1", 40, usualSpacingMm, catalogues),
  preset(
    "pedal-44",
    "44-string pedal harp",
    "pedal",
    "D1",
    44,
    usualSpacingMm,
    `a page on harp sizes, weak; ${counting}`,
  ),
  preset(
    "pedal-46",
    "46-string semi-grand pedal harp",
    "pedal",
    "D1",
    46,
    usualSpacingMm,
    `from memory; ${counting}`,
  ),
  preset(
    "pedal-47",
    "47-string concert grand pedal harp",
    "pedal",
    "C1",
    47,
    usualSpacingMm,
    `an encyclopedia's article on the pedal harp; morleyharps.co.uk, compass explained; ${counting}`,
  ),
];

export function harpPreset(name: string): HarpPreset | undefined {
  return harpPresets.find((candidate) => candidate.name === name);
}

/** A harp of one's own, in the words of a settings file. */
export interface DescribedHarp {
  /** Name of the lowest string, such as `A1`. */
  readonly lowest: string;
  /** How many strings it has. */
  readonly strings: number;
  readonly mechanism?: Mechanism;
  /** At middle C. */
  readonly spacingMm?: number;
}

/**
 * The harp that was described; a lever harp unless it says otherwise.
 * @throws RangeError when the lowest string has no such name.
 */
export function describedHarp(described: DescribedHarp): Harp {
  const { mechanism = "lever" } = described;
  const lowest = stringNamed(described.lowest);
  if (lowest === undefined) throw new RangeError(`not the name of a string: ${described.lowest}`);
  const usual = mechanism === "pedal" ? usualSpacingMm : leverSpacingMm;
  return { lowest, count: described.strings, mechanism, spacingMm: described.spacingMm ?? usual };
}

/** Inclusive, as string indices. */
export function harpRange(harp: Harp): { readonly lowest: number; readonly highest: number } {
  return { lowest: harp.lowest, highest: highestString(harp) };
}
