import { compareOccurrences, type Difference, offsetsOf } from "../../../passages/compareOccurrences.ts";
import type { PassageClass } from "../../../passages/model.ts";
import { orFound } from "../../../text/orFound.ts";
import type { RuleInput } from "../../define.ts";
import type { EventRange } from "../solveAround.ts";
import type { PrintedPlace } from "./printedPlaces.ts";

/** Differences between two places of a passage that hang together: digits and brackets that one placing may hold. */
export interface Region {
  /** Inclusive, in events of the passage from 0. */
  readonly from: number;
  readonly to: number;
  readonly differences: readonly Difference[];
  /** Some note has another digit; else only the brackets differ. */
  readonly fingers: boolean;
}

/** A placing has four notes at most: what is less far apart may be one decision. */
const togetherEvents = 3;

/** A bracket that one place lacks says something only where that place has so large a part of the other's brackets. */
const leastShareOfBrackets = 0.5;

const known = new WeakMap<PrintedPlace, WeakMap<PrintedPlace, readonly Region[]>>();

/**
 * What is printed otherwise at two places, in regions. Digits that only one place has are no difference here, nor are
 * notes under brackets that reach out of the passage, nor brackets where one place has hardly any. Worked out
 * once for two places.
 */
export function regionsBetween(
  input: RuleInput,
  passage: PassageClass,
  here: PrintedPlace,
  there: PrintedPlace,
): readonly Region[] {
  const fromHere = orFound(known, here, () => new WeakMap<PrintedPlace, readonly Region[]>());
  return orFound(fromHere, there, () => findRegions(input, passage, here, there));
}

function findRegions(
  input: RuleInput,
  passage: PassageClass,
  here: PrintedPlace,
  there: PrintedPlace,
): Region[] {
  const few = Math.min(here.brackets, there.brackets);
  const manyEnough = few > 0 && few >= leastShareOfBrackets * Math.max(here.brackets, there.brackets);
  const differences = compareOccurrences(input.hands, passage, here.index, there.index).filter((one) => {
    if (one.kind !== "finger") return one.here && one.there ? true : manyEnough;
    if (one.hereFinger === undefined || one.thereFinger === undefined) return false;
    return !here.edges.has(one.here.event) && !there.edges.has(one.there.event);
  });
  const hereAt = offsetsOf(passage, here.index);
  const thereAt = offsetsOf(passage, there.index);
  const spread = differences
    .map((difference) => ({ difference, ...spreadOf(difference, hereAt, thereAt) }))
    .sort((a, b) => a.from - b.from);
  const regions: { from: number; to: number; differences: Difference[]; fingers: boolean }[] = [];
  for (const { difference, from, to } of spread) {
    const fingers = difference.kind === "finger";
    const last = regions[regions.length - 1];
    if (last && from <= last.to + togetherEvents) {
      last.to = Math.max(last.to, to);
      last.differences.push(difference);
      last.fingers ||= fingers;
    } else {
      regions.push({ from, to, differences: [difference], fingers });
    }
  }
  return regions;
}

/** Brackets are spread over all notes that either of them covers, so that what shares a note hangs together. */
function spreadOf(
  difference: Difference,
  hereAt: ReadonlyMap<number, number>,
  thereAt: ReadonlyMap<number, number>,
): { from: number; to: number } {
  if (difference.kind === "finger") {
    const at = hereAt.get(difference.here.event)!;
    return { from: at, to: at };
  }
  const ends = (range: EventRange | undefined, at: ReadonlyMap<number, number>): number[] =>
    range ? [range.first, range.last].flatMap((event) => at.get(event) ?? []) : [];
  const all = [...ends(difference.here, hereAt), ...ends(difference.there, thereAt)];
  return { from: Math.min(...all), to: Math.max(...all) };
}

/** The events of a place that a region covers; those that stand for nothing are left out. */
export function eventsOf({ alignment }: PassageClass, index: number, { from, to }: Region): number[] {
  return alignment[index]!.slice(from, to + 1).filter((event) => event !== undefined);
}
