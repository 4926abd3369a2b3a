import type { Finger } from "./model.ts";

/** Where a finger may slide on to the next string: nowhere, where the print has it, or anywhere. */
export type SlidePolicy = "never" | "asWritten" | "propose";

/** Costs of a pair of fingers by steps between their strings; a missing entry is beyond the hand. */
export type StretchRow = Readonly<Record<number, number>>;

const row = (from: number, ...costs: number[]): StretchRow =>
  Object.fromEntries(costs.map((cost, i) => [from + i, cost]));

/**
 * What each thing costs, in integer thousandths, and the times and widths that it turns on. Common practice, no
 * source, unless a line names one; chosen so that the worked examples come out as a harpist would write them.
 * A profile is another table of this shape; no code knows a weight.
 */
export const defaultWeights = {
  /** Each placing: fewer and larger groups read and play more easily. */
  base: 500,

  /**
   * Two neighbouring fingers of a placing, by steps between their strings. Read downwards in one column these rows
   * are the two-note rule: 1-2 up to a fourth, 1-3 for a fifth or sixth, 1-4 from a seventh.
   */
  stretch: {
    "1-2": row(1, 0, 0, 0, 600, 800, 4000),
    "1-3": row(1, 1500, 800, 400, 0, 0, 1000, 2000, 4000),
    "1-4": row(1, 2500, 1800, 1000, 800, 500, 0, 0, 300, 800, 2000, 4000),
    "2-3": row(1, 0, 0, 50, 2000),
    "3-4": row(1, 0, 100, 1200, 1700),
    "2-4": row(1, 1000, 400, 0, 200, 1500, 3000),
  } as Readonly<Record<string, StretchRow>>,

  /**
   * The outermost fingers of three or more notes, by steps: 3 2 1 over an octave is too wide although both inner
   * gaps look easy.
   */
  outer: {
    "1-3": row(6, 500, 1000, 2000),
    "1-4": row(8, 100, 200, 1000, 2000),
    "2-4": row(5, 500, 1000),
  } as Readonly<Record<string, StretchRow>>,

  /**
   * 2 on the string next to the thumb while the whole hand spans a ninth or more: a strain, as a harp editor's notes
   * on typical issues say (theharplegacyproject.com).
   */
  cramped: { cost: 1000, fromSteps: 8 },

  /** A placing of two or more notes whose highest note is not the thumb's. */
  thumb: 1500,

  /** Each note that 4 plays: the weakest finger. */
  weakFinger: 200,

  /** A note that stands alone: the second finger; low in the left hand the fourth. Index = finger. */
  single: { usual: [0, 300, 0, 500, 800], lowLeft: [0, 800, 300, 300, 0], lowLeftBelowString: 21 },

  /** Each note of a finger that the player does not use yet. Index = finger; a level charges `impossible` for it. */
  level: [0, 0, 0, 0, 0],

  /**
   * A finger that plays a string and slides on to its neighbour: the thumb downwards, 4 upwards. It adds a note to a
   * placing without a finger. E. Volpé Bligh, Writing for the pedal harp, calls the thumb's normal, 4's tricky.
   */
  slide: 800,
  slides: "asWritten" as SlidePolicy,

  /** Keeping fingers on the strings through a long note: `cost × clamp((g − from) / range, 0, 1)`. */
  hold: { cost: 900, fromMicros: 800_000, rangeMicros: 600_000 },

  /** Two placings that share the turning note. */
  overlap: 200,

  /** A finger passing under the thumb, or the thumb over it. Index = finger. 3 is easiest, and one crossing with 4
   * must beat two with 3. */
  cross: [0, 0, 1100, 1000, 1200],
  /** Each string that a crossing skips. */
  skip: 1500,
  /** A crossing reaches no further than this many steps. */
  crossAtMostSteps: 3,
  /** A lone top note, reached by crossing up or left by crossing down, where the line turns: no thumb on it. */
  turn: 800,

  /** The hand comes off: the less time, the dearer. `cost + rush × clamp((before − g) / range, 0, 1)`. */
  separate: { cost: 300, rush: 2000, beforeMicros: 1_200_000, rangeMicros: 900_000 },
  /** Each step of a jump beyond a fifth. */
  leap: { perStep: 50, beyondSteps: 4 },
  /** The same string again, by the same finger (from `slow` when there is time to `fast` when not) or by another. */
  sameString: { slow: 200, fast: 1500, slowMicros: 400_000, fastMicros: 250_000, otherFinger: 500 },

  /** A time counts as long when it is this many times the median of the times around it (four on each side); */
  longRatio: 1.5,
  /** any other counts as this at most: a slow but even scale is still connected. */
  evenMicros: 600_000,

  /**
   * The eyes serve one place at a time. A joint asks for a look, weighed in thousandths: coming off needs one, half
   * of one when the hand lands on the strings that it just left, two after a jump of more than an octave; a crossing
   * over a skip needs half, every other connected joint none. A look takes `lookMicros` and ends when the finger
   * lands. When a hand looks while the other hand's latest look is still going on, the lesser of the two weights is
   * charged, unless the places are near: at most `nearStrings` apart, or all within `nearSpan` steps.
   */
  glance: {
    comingOff: 1000,
    sameStrings: 500,
    afterLeap: 2000,
    crossingOverSkip: 500,
    leapSteps: 7,
    lookMicros: 400_000,
    nearStrings: 5,
    nearSpan: 9,
  },
  /**
   * Hands that work through each other: the right hand's highest string lies below the left hand's by more than
   * `beyondSteps` while both stand on the strings.
   */
  interlocked: { cost: 500, beyondSteps: 2 },

  /** Beyond the hand or the clock. Dear, not forbidden: there is always an answer, and the place can be named. */
  impossible: 50_000,
  /** Each step beyond the reach of two fingers, so that even what cannot be reached is best tried with the outer ones. */
  beyondReachPerStep: 200,
  /** A decision of the user that cannot be kept. */
  lockBroken: 1_000_000,

  /** Less time than this cannot be played. From memory: estimates. */
  hardLimits: {
    separateMicros: 200_000,
    separateAfterLeapMicros: 350_000,
    leapSteps: 7,
    sameFingerMicros: 200_000,
    chordToChordMicros: 220_000,
    placedMicros: 50_000,
    crossMicros: 80_000,
  },

  /** A rolled chord may be this many steps wider than a struck one, at a price for each. */
  rolled: { extraSteps: 2, perStep: 300 },
};

export type Weights = typeof defaultWeights;

/** The key of a pair of fingers in the stretch tables. */
export function pairKey(a: Finger, b: Finger): string {
  return a < b ? `${a}-${b}` : `${b}-${a}`;
}

/** The most steps a pair of fingers may span; 0 for a finger with itself. */
export function reachSteps(weights: Weights, a: Finger, b: Finger): number {
  const costs = weights.stretch[pairKey(a, b)];
  return costs ? Math.max(...Object.keys(costs).map(Number)) : 0;
}
