import type { WrittenHand } from "../fingering/written.ts";
import type { HandName, HarpChoice } from "../score/hands.ts";

/** One edition of a piece as read. */
export interface Edition {
  readonly harp: HarpChoice;
  readonly hands: readonly WrittenHand[];
}

/** A bar of each edition that stand for each other; one of them is undefined where a bar was put in or taken out. */
export interface BarPair {
  /** Indexes of measures. */
  readonly old: number | undefined;
  readonly new: number | undefined;
}

/** A place in one edition. */
export interface EditionPlace {
  /** Index of the measure, and its number as printed. */
  readonly measure: number;
  readonly bar: string;
  /** In quarter notes from 1: `1`, `5/2`. */
  readonly beat: string;
  readonly hand: HandName;
  readonly event: number;
}

/** Events under a printed bracket: its first and its last one, with their notes, lowest first. */
export interface EditionBracket {
  readonly first: EditionPlace;
  readonly last: EditionPlace;
  readonly firstNotes: readonly string[];
  readonly lastNotes: readonly string[];
}

/** The print at one note; the text is empty where nothing is printed. */
export interface NotePrint {
  /** As it is in the new edition. */
  readonly pitch: string;
  /** Number of the event within the change, from 0: notes of one chord have the same. */
  readonly chord: number;
  readonly old: string;
  readonly new: string;
}

/** Something that a player of the old edition finds otherwise in the new one. */
export type EditionChange =
  /** Fingers of events in a row, from the first that is changed to the last. */
  | {
      readonly kind: "fingers";
      readonly old: EditionPlace;
      readonly new: EditionPlace;
      readonly notes: readonly NotePrint[];
    }
  /** A bracket; undefined where an edition has none over these notes. */
  | {
      readonly kind: "bracket";
      readonly old: EditionBracket | undefined;
      readonly new: EditionBracket | undefined;
      /** In the new edition: its first note, or the first that is left of those that it was over. */
      readonly at: EditionPlace;
    }
  /** Notes that the other hand takes. */
  | {
      readonly kind: "hand";
      readonly old: EditionPlace;
      readonly new: EditionPlace;
      readonly pitches: readonly string[];
    }
  /** What is plucked at one instant. At least one of the places is there; either list may be empty. */
  | {
      readonly kind: "notes";
      readonly old: EditionPlace | undefined;
      readonly new: EditionPlace | undefined;
      /** In the new edition; without an event where nothing is plucked there now. */
      readonly at: Omit<EditionPlace, "event">;
      readonly removed: readonly string[];
      readonly added: readonly string[];
    }
  /** Bars in a row that only one edition has. */
  | {
      readonly kind: "bars";
      readonly edition: "old" | "new";
      readonly measures: readonly number[];
      readonly bars: readonly string[];
      /** The bar of the other edition after which they come, as printed; undefined at its start. */
      readonly after: string | undefined;
      /** How many strings are plucked in them. */
      readonly notes: number;
    };

/** What is otherwise in a new edition. */
export interface EditionComparison {
  /** In order of the old edition, each bar of either edition in one pair. */
  readonly pairs: readonly BarPair[];
  /** In order of time. */
  readonly changes: readonly EditionChange[];
  /** Bars that have another number, as printed. */
  readonly renumbered: readonly { readonly old: string; readonly new: string }[];
}
