import { type Profile, reachOf, sameEffortSteps } from "./profile.ts";

/** What is comfortable; beyond it a reach or a speed is pointed out, no more. */
export interface Comfort {
  /** Steps between the outermost fingers of a placing, by their pair: `1-4`. */
  readonly steps: Readonly<Record<string, number>>;
  /** A rolled chord may be this much wider. */
  readonly rolledSteps: number;
  /** From the last note before the hand comes off to the first after it. */
  readonly comeOffMicros: number;
  /** The same after a leap of more than `leapSteps`. */
  readonly afterLeapMicros: number;
  readonly leapSteps: number;
  /** From a string to the same string with the same finger. */
  readonly sameFingerMicros: number;
}

/**
 * A medium hand at the usual spacing. Estimates, from memory, save that a tenth is a safe reach for thumb and 4 (a
 * conservatoire's notes on harp notation, hand position; theharplegacyproject.com, typical issues) and that thumb and
 * 2 open to a fifth without strain (the latter).
 */
const usual: Comfort = {
  steps: { "1-2": 4, "1-3": 6, "1-4": 9, "2-3": 2, "2-4": 4, "3-4": 2 },
  rolledSteps: 2,
  comeOffMicros: 450_000,
  afterLeapMicros: 700_000,
  leapSteps: 7,
  sameFingerMicros: 400_000,
};

/** What is comfortable for a profile: spans follow the hand and the harp, times are the same for all. */
export function comfortFor(profile: Profile): Comfort {
  const reach = reachOf(profile);
  const steps = Object.entries(usual.steps).map(([pair, wide]) => [
    pair,
    Math.floor(sameEffortSteps(pair, wide, reach)),
  ]);
  return { ...usual, steps: Object.fromEntries(steps) };
}
