import { harpPreset } from "../harp/instruments.ts";
import { usualSpacingMm } from "../harp/spacing.ts";
import { RecentAnswers } from "../text/recentAnswers.ts";
import { type Finger, fingers } from "./model.ts";
import { defaultWeights, type SlidePolicy, type StretchRow, type Weights } from "./weights.ts";

/** Who plays: hand, level, school. What is left out is as in the usual profile. */
export interface Profile {
  /** How many fingers the player uses, the thumb included. */
  readonly level?: 2 | 3 | 4;
  readonly hand?: HandSize;
  /** From string to string at middle C, in millimetres. */
  readonly spacingMm?: number;
  /** Name of the kind of harp that gives the spacing, when `spacingMm` does not. */
  readonly harp?: string;
  /** The fingers of two notes a fifth apart. */
  readonly fifths?: "1-3" | "1-2";
  /** The fingers of a close triad with the fourth at the bottom, G C E. */
  readonly closeTriad?: "3 2 1" | "4 2 1";
  /** How readily the hand comes off the strings. */
  readonly comingOff?: "usual" | "often" | "late";
  /** How runs of more than four notes are divided. */
  readonly crossing?: "usual" | "threes" | "fours" | "avoidFourth";
  /** The finger of a note that stands alone. */
  readonly singleNote?: "second" | "thumb";
  /** The finger of a low note that stands alone in the left hand. */
  readonly lowLeft?: "fourth" | "third" | "second";
  /** The finger of a string that is plucked again: another one only when it is fast, never, or always. */
  readonly repeatedNote?: "bySpeed" | "same" | "alternate";
  readonly slides?: SlidePolicy;
  /** Single weights by their names, in the units of the table. */
  readonly weights?: Readonly<Record<string, number>>;
}

export type HandSize = "small" | "medium" | "large";

/** Profiles with a name. */
export const namedProfiles: Readonly<Record<string, Profile>> = {
  usual: {},
  "two-fingers": { level: 2 },
  "three-fingers": { level: 3 },
  "small-hand": { hand: "small" },
  "large-hand": { hand: "large" },
};

/** By how many steps a hand reaches further than a medium one. From memory. */
const extraSteps: Readonly<Record<HandSize, number>> = { small: -1, medium: 0, large: 1 };

/**
 * How far a hand reaches on a harp: a span that a medium hand has at the usual spacing becomes
 * `(steps + extraSteps) × narrower`.
 */
export interface Reach {
  readonly extraSteps: number;
  /** More than 1 on a harp with narrower spacing than usual. */
  readonly narrower: number;
}

export function reachOf(profile: Profile): Reach {
  const preset = profile.harp === undefined ? undefined : harpPreset(profile.harp);
  const spacingMm = profile.spacingMm ?? preset?.spacingMm ?? usualSpacingMm;
  return { extraSteps: extraSteps[profile.hand ?? "medium"], narrower: usualSpacingMm / spacingMm };
}

const known = new RecentAnswers<Weights>(16);

/**
 * The table of costs for a profile, the same one each time; for the usual profile exactly the default table.
 * @throws RangeError for a weight that has no such name or cannot be.
 */
export function weightsFor(profile: Profile): Weights {
  return known.get(JSON.stringify(profile), 1, () => tableFor(profile));
}

function tableFor(profile: Profile): Weights {
  const weights = structuredClone(defaultWeights) as Mutable<Weights>;
  fitToHand(weights, reachOf(profile));
  followSchool(weights, profile);
  for (const finger of fingers) {
    weights.level[finger] = finger > (profile.level ?? 4) ? weights.impossible : 0;
  }
  weights.slides = profile.slides ?? weights.slides;
  for (const [name, value] of Object.entries(profile.weights ?? {})) setWeight(weights, name, value);
  weights.stretch = mapRows(weights.stretch, withoutHoles);
  return weights;
}

type Mutable<T> = { -readonly [key in keyof T]: T[key] };

function mapRows(
  rows: Readonly<Record<string, StretchRow>>,
  change: (row: StretchRow, pair: string) => StretchRow,
): Record<string, StretchRow> {
  return Object.fromEntries(Object.entries(rows).map(([pair, row]) => [pair, change(row, pair)]));
}

/** What lies beyond the easiest steps of a pair moves with the hand's reach; what is easy or cramped stays. */
function fitToHand(weights: Mutable<Weights>, reach: Reach): void {
  const { stretch, outer, cramped } = defaultWeights;
  weights.stretch = mapRows(stretch, (row) => reached(row, easiestSteps(row), mostSteps(row), reach));
  // Up to the row's beginning the outer fingers cost nothing; their limit is that of the pair.
  weights.outer = mapRows(outer, (row, pair) =>
    reached(row, leastSteps(row) - 1, mostSteps(stretch[pair]!), reach),
  );
  weights.cramped = {
    ...cramped,
    fromSteps: Math.round((cramped.fromSteps + reach.extraSteps) * reach.narrower),
  };
}

/**
 * How many steps of a pair of fingers are to this hand what `steps` are to a medium hand at the usual spacing; not
 * whole. What is easy for all hands stays.
 * @param pair its name in the stretch tables.
 */
export function sameEffortSteps(pair: string, steps: number, reach: Reach): number {
  const row = defaultWeights.stretch[pair]!;
  const easy = easiestSteps(row);
  const most = mostSteps(row);
  if (steps <= easy) return steps;
  const limit = (most + reach.extraSteps) * reach.narrower;
  return easy + ((steps - easy) * (limit - easy)) / (most - easy);
}

/**
 * The row for another reach: between the easiest steps and the limit, which becomes another, costs are interpolated.
 * @param easy the most steps that are still easiest.
 * @param most the most steps that a medium hand spans at the usual spacing.
 */
function reached(row: StretchRow, easy: number, most: number, reach: Reach): StretchRow {
  const limit = (most + reach.extraSteps) * reach.narrower;
  const changed: Record<number, number> = {};
  for (let steps = leastSteps(row); steps <= limit; steps += 1) {
    changed[steps] =
      steps <= easy
        ? row[steps]!
        : interpolated(row, easy + ((steps - easy) * (most - easy)) / (limit - easy));
  }
  return changed;
}

function interpolated(row: StretchRow, steps: number): number {
  const below = Math.floor(steps);
  const low = row[below] ?? 0;
  const high = row[below + 1] ?? low;
  return Math.round(low + (high - low) * (steps - below));
}

function stepsOf(row: StretchRow): number[] {
  return Object.keys(row).map(Number);
}

function leastSteps(row: StretchRow): number {
  return Math.min(...stepsOf(row));
}

function mostSteps(row: StretchRow): number {
  return Math.max(...stepsOf(row));
}

function easiestSteps(row: StretchRow): number {
  const least = Math.min(...Object.values(row));
  return Math.max(...stepsOf(row).filter((steps) => row[steps] === least));
}

/** Steps that a changed limit has left out cost what the next wider ones do. */
function withoutHoles(row: StretchRow): StretchRow {
  const filled: Record<number, number> = { ...row };
  for (let steps = mostSteps(row); steps > leastSteps(row); steps -= 1) filled[steps - 1] ??= filled[steps]!;
  return filled;
}

const fifth = 4;
const fourth = 3;

/** Where schools differ. Common practice, no source; the amounts are such that the school's choice is the cheaper. */
function followSchool(weights: Mutable<Weights>, profile: Profile): void {
  const { single, sameString, separate, hold } = weights;
  if (profile.fifths === "1-2") {
    const [second, third] = [weights.stretch["1-2"]!, weights.stretch["1-3"]!];
    weights.stretch = {
      ...weights.stretch,
      "1-2": { ...second, [fifth]: third[fifth]! },
      "1-3": { ...third, [fifth]: second[fifth]! },
    };
  }
  if (profile.closeTriad === "4 2 1") {
    const row = weights.stretch["2-3"]!;
    weights.stretch = { ...weights.stretch, "2-3": { ...row, [fourth]: row[fourth]! + 300 } };
  }
  switch (profile.comingOff) {
    case "often":
      weights.separate = { ...separate, beforeMicros: 900_000 };
      weights.hold = { ...hold, fromMicros: 500_000 };
      break;
    case "late":
      weights.separate = { ...separate, beforeMicros: 1_600_000 };
      weights.hold = { ...hold, fromMicros: 1_100_000 };
      break;
  }
  switch (profile.crossing) {
    case "threes":
      weights.cross = withFinger(weights.cross, 4, 2200);
      break;
    case "fours":
      weights.cross = [0, 0, 1400, 1300, 700];
      break;
    case "avoidFourth":
      weights.cross = withFinger(weights.cross, 4, 4000);
      weights.weakFinger = 800;
      break;
  }
  if (profile.singleNote === "thumb") {
    const { usual } = single;
    weights.single = { ...weights.single, usual: withFinger(withFinger(usual, 1, usual[2]!), 2, usual[1]!) };
  }
  if (profile.lowLeft === "third" || profile.lowLeft === "second") {
    const { lowLeft } = single;
    const finger = profile.lowLeft === "third" ? 3 : 2;
    const changed = withFinger(withFinger(lowLeft, finger, lowLeft[4]!), 4, lowLeft[finger]!);
    weights.single = { ...weights.single, lowLeft: changed };
  }
  if (profile.repeatedNote === "same") weights.sameString = { ...sameString, otherFinger: 3000 };
  if (profile.repeatedNote === "alternate") {
    weights.sameString = { ...sameString, slow: 1000, otherFinger: 0 };
  }
}

function withFinger(costs: readonly number[], finger: Finger, cost: number): number[] {
  return costs.map((value, i) => (i === finger ? cost : value));
}

/** What is no weight of its own: entries of no finger, and what stands for "cannot be". */
const notWeights = /(^|\.)0$|^cross\.1$|^level\.|^impossible$|^lockBroken$/;

/** The names of single weights: `base`, `hold.cost`, `cross.3`, `stretch.1-2.4`. */
export const weightNames: readonly string[] = namesIn(defaultWeights).filter(
  (name) => !notWeights.test(name),
);

function namesIn(table: object): string[] {
  return Object.entries(table).flatMap(([key, value]): string[] => {
    if (typeof value === "number") return [key];
    return typeof value === "object" && value !== null ? namesIn(value).map((name) => `${key}.${name}`) : [];
  });
}

/** Only this one is a ratio; all others are whole: thousandths, microseconds or steps. */
export const fractionalWeights: readonly string[] = ["longRatio"];

/** No weight is greater, so that sums over whole pieces stay exact. */
export const greatestWeight = 10_000_000;

function setWeight(weights: Weights, name: string, value: number): void {
  const whole = Number.isInteger(value) || fractionalWeights.includes(name);
  if (!weightNames.includes(name)) throw new RangeError(`there is no weight ${name}`);
  if (!whole || !(value >= 0 && value <= greatestWeight)) {
    throw new RangeError(`${name} cannot be ${value}`);
  }
  const keys = name.split(".");
  const last = keys.pop()!;
  const place = keys.reduce((table, key) => table[key] as NestedNumbers, weights as unknown as NestedNumbers);
  place[last] = value;
}

interface NestedNumbers {
  [key: string]: number | NestedNumbers;
}
