// The shapes that programs see. They stay as they are while what lies below them changes.
import type { BarPair, EditionChange } from "../editions/model.ts";

export type Hand = "right" | "left";

/** A score that was read. */
export interface Score {
  /** The MusicXML text, without a byte order mark. Offsets in ranges and edits count its UTF-16 units from 0. */
  readonly text: string;
  readonly title: string;
  readonly problems: readonly LibraryProblem[];
  /** What was taken for granted, in sentences. */
  readonly assumptions: readonly string[];
  /** The hands that play. */
  readonly hands: readonly Hand[];
}

/** A place in the text; lines and columns count from 1. */
export interface TextPlace {
  readonly offset: number;
  readonly line: number;
  readonly column: number;
}

export interface TextRange {
  readonly start: TextPlace;
  readonly end: TextPlace;
}

export interface LibraryProblem {
  readonly severity: "error" | "warning";
  readonly message: string;
  readonly range: TextRange;
}

export interface LibraryFinding {
  /** Id of the rule. */
  readonly rule: string;
  readonly severity: "error" | "warning" | "info";
  /** What is wrong, and why, in a sentence. */
  readonly message: string;
  readonly range: TextRange;
  /** Undefined for a finding that is about the file. */
  readonly hand: Hand | undefined;
  /** The measure's number as printed. */
  readonly bar: string | undefined;
  /** In quarter notes from 1: `1`, `5/2`. */
  readonly beat: string | undefined;
  readonly fixes: readonly LibraryFix[];
}

export interface LibraryFix {
  readonly title: string;
  /** It keeps what the editor decided, and may be made without asking. */
  readonly safe: boolean;
  /** Empty when nothing is to be changed after all. */
  edits(): readonly TextEdit[];
}

export interface CheckResult {
  readonly findings: readonly LibraryFinding[];
  /** How many more were found that are accepted. */
  readonly accepted: number;
}

/** What stands between two offsets gives way to a text. */
export interface TextEdit {
  readonly start: number;
  readonly end: number;
  readonly text: string;
}

export interface FingerOptions {
  /** Fingers anew, whatever is printed. */
  readonly fresh?: boolean;
  readonly hand?: Hand | "both";
  /** Printed numbers of the first and the last bar. */
  readonly bars?: { readonly first: string; readonly last: string };
}

export interface FingeredNote {
  readonly bar: string;
  /** In quarter notes from 1. */
  readonly beat: string;
  /** `F#4`, as written. */
  readonly pitch: string;
  /** Its place in the hand's line: notes that sound together have the same. */
  readonly event: number;
  /** 1 = thumb … 4; undefined when the hand has none left for it. */
  readonly finger: number | undefined;
}

export interface FingerResult {
  readonly hands: readonly {
    readonly hand: Hand;
    readonly notes: readonly FingeredNote[];
    /** First and last event of each, both included, and how the hand comes to it from the one before. */
    readonly placings: readonly {
      readonly first: number;
      readonly last: number;
      readonly direction: "rising" | "falling" | "together";
      readonly joint: "start" | "separate" | "overlap" | "cross";
    }[];
  }[];
  /** In the units of the model. */
  readonly cost: number;
  readonly edits: readonly TextEdit[];
  /** Where it asks for more than is comfortable, in sentences. */
  readonly warnings: readonly string[];
  /** To be shown with every fingering. */
  readonly caution: string;
}

export interface Passage {
  /** `A`, `B`, … */
  readonly name: string;
  readonly kind: "exact" | "shifted" | "near" | "otherHand";
  readonly notes: readonly string[];
  readonly places: readonly {
    readonly hand: Hand;
    readonly from: { readonly bar: string; readonly beat: string };
    readonly to: { readonly bar: string; readonly beat: string };
    /** How it is fingered beside the place that others are held against. */
    readonly likeness: "alike" | "in part" | "unlike" | "bare";
  }[];
}

export interface Comparison {
  readonly changes: readonly EditionChange[];
  /** Which bars stand for each other, as indexes of measures. */
  readonly bars: readonly BarPair[];
}
