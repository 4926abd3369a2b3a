import type { HandName } from "../score/hands.ts";

/**
 * How the occurrences of a passage are alike. `exact`: the same strings in the same rhythm. `shifted`: the same shape
 * in the same rhythm, on other strings. `near`: a few events differ, or the rhythm. `otherHand`: the same shape and
 * rhythm in both hands, on the same strings or on others.
 */
export type PassageKind = "exact" | "shifted" | "near" | "otherHand";

/** One place where a passage stands. */
export interface Occurrence {
  readonly hand: HandName;
  /** Inclusive range of the hand's events. */
  readonly first: number;
  readonly last: number;
  /** How many strings it lies above the first occurrence. */
  readonly steps: number;
  /** How it differs from the first occurrence; only a near passage has differences. In order of the events. */
  readonly changes: readonly Change[];
}

/** A difference in the music of two occurrences. */
export type Change =
  /** `strings`: both have an event here, with other strings or played another way. `rhythm`: the time since the event before is another. */
  | { readonly kind: "strings" | "rhythm"; readonly model: number; readonly event: number }
  /** The first occurrence has an event that has no counterpart. */
  | { readonly kind: "leftOut"; readonly model: number }
  /** This occurrence has an event that the first has not. */
  | { readonly kind: "added"; readonly event: number };

/** A passage and all the places where it stands. */
export interface PassageClass {
  readonly kind: PassageKind;
  /** In order of time, the right hand before the left. No two of one hand share an event. */
  readonly occurrences: readonly Occurrence[];
  /**
   * alignment[k][m]: the event of occurrence k that stands for event `occurrences[0].first + m`; undefined where it
   * has none. Events of the hand of occurrence k.
   */
  readonly alignment: readonly (readonly (number | undefined)[])[];
  /** The most occurrences that follow each other without a note between; 1 when none does. */
  readonly inARow: number;
  /** How much better the later occurrences are told by "as before" than note by note. Chance gives about 0. */
  readonly surpriseBits: number;
}

/** What comes back in a score. */
export interface Passages {
  /** In order of their first occurrence, longer ones first. */
  readonly classes: readonly PassageClass[];
  /** What was left out or cut short, in sentences. */
  readonly messages: readonly string[];
}
