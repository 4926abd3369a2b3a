import type { HandName } from "../score/hands.ts";

/** 1 = thumb … 4 = ring finger. Harpists do not use the fifth. */
export type Finger = 1 | 2 | 3 | 4;
export const fingers: readonly Finger[] = [1, 2, 3, 4];

export type { HandName };

/** `rising` and `falling` lines, or `together` for notes that sound at once or stand alone. */
export type Direction = "rising" | "falling" | "together";

/** How a placing follows the one before it. The first of a line has `start`. */
export type Joint = "start" | "separate" | "overlap" | "cross";

/** Strings that one hand plucks at one instant. */
export interface FingeringEvent {
  /** String indices (7 × octave + letter, C = 0), ascending, no two alike; at least one. */
  readonly strings: readonly number[];
  /** When it sounds, in microseconds from the start of the piece. Never earlier than the event before. */
  readonly atMicros: number;
  /** A chord that is rolled may be wider than one that is struck. */
  readonly rolled?: boolean;
  /** A fermata stands here: the note counts as long whatever its neighbours are. */
  readonly held?: boolean;
  /** The print has one finger on this note and the next, which it can slide to. */
  readonly slidesOn?: boolean;
  /** The music jumps to or from the barline before it, so that no placing may reach over it. */
  readonly cutBefore?: boolean;
  /**
   * The hand is free of the strings before it: neither a placing nor a crossing reaches over, but a locked placing.
   */
  readonly handFreeBefore?: boolean;
}

/** What has been decided already and must be kept. */
export interface Locks {
  /** fingers[i][j] for events[i].strings[j]; undefined leaves the choice free. */
  readonly fingers: readonly (readonly (Finger | undefined)[] | undefined)[];
  /** Placings that must be used as they are: inclusive ranges of events, in order of `first`. */
  readonly placings: readonly { readonly first: number; readonly last: number }[];
  /** joined[i]: true when one placing must hold events i and i + 1, false when none may; undefined is free. */
  readonly joined?: readonly (boolean | undefined)[];
}

/** A repeat, an ending or another jump: the note after `from` is, in one playing of it, `to`. */
export interface Jump {
  /** The last event before the barline that is jumped from. */
  readonly from: number;
  /** The first event after the barline that is jumped to; it has `cutBefore`. */
  readonly to: number;
  /** From the one to the other as they are played, in microseconds. */
  readonly gapMicros: number;
}

/** One hand's music, as the search sees it. */
export interface FingeringLine {
  readonly hand: HandName;
  readonly events: readonly FingeringEvent[];
  readonly locks?: Locks;
  readonly jumps?: readonly Jump[];
}

/** The trade names of what a fingering costs. */
export type TermName =
  | "base"
  | "stretch"
  | "outer"
  | "cramped"
  | "thumb"
  | "weakFinger"
  | "single"
  | "level"
  | "slide"
  | "waiting"
  | "separate"
  | "leap"
  | "sameString"
  | "overlap"
  | "cross"
  | "skip"
  | "turn"
  | "glance"
  | "interlocked"
  | "oneString"
  | "tooWide"
  | "tooMany"
  | "tooFast"
  | "lock";

/** A cost with its name, in integer thousandths. */
export interface Term {
  readonly name: TermName;
  readonly milli: number;
}

/**
 * The notes whose fingers stand on the strings together before the first of them is played; with a slide one note more,
 * that its finger slides on to.
 */
export interface Placing {
  /** Inclusive range of events. After an overlap `first` is the shared pivot; after a cross, the note after it. */
  readonly first: number;
  readonly last: number;
  readonly direction: Direction;
  /** How it follows the placing before. */
  readonly joint: Joint;
  /** fingers[k][j] for events[first + k].strings[j]; undefined where a hand has no finger left for a string. */
  readonly fingers: readonly (readonly (Finger | undefined)[])[];
  readonly placingTerms: readonly Term[];
  readonly jointTerms: readonly Term[];
}

/** How the hand gets over a jump: the joint between the placings that it leads from and to. */
export interface JumpJoint {
  readonly jump: Jump;
  readonly joint: Joint;
  readonly terms: readonly Term[];
}

/** A fingering of a whole line. */
export interface Solution {
  readonly placings: readonly Placing[];
  /** In the order of `line.jumps`; none where the line has none. */
  readonly jumps?: readonly JumpJoint[];
  /** fingers[i][j] for events[i].strings[j]. */
  readonly fingers: readonly (readonly (Finger | undefined)[])[];
  /** Sum of all terms, in integer thousandths. */
  readonly totalMilli: number;
}

/** Adds up terms by name. */
export function sumTerms(placings: readonly Placing[]): Map<TermName, number> {
  const sums = new Map<TermName, number>();
  for (const placing of placings) {
    for (const { name, milli } of [...placing.placingTerms, ...placing.jointTerms]) {
      sums.set(name, (sums.get(name) ?? 0) + milli);
    }
  }
  return sums;
}
