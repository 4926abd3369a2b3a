/** The command that fingers a part of a score: its only argument is a `FingerRequest`, its result a `CommandResult`. */
export const fingerCommand = "placewright.finger";

/** The command that applies a finding's fix, for editors that know commands but no code actions with edits. */
export const fixCommand = "placewright.fix";

/** The command that makes many repairs at once: its only argument is a `FixAllRequest`, its result a `CommandResult`. */
export const fixAllCommand = "placewright.fixAll";

/** The command that marks a finding as intended: its only argument is an `AcceptRequest`, its result a `CommandResult`. */
export const acceptCommand = "placewright.accept";

/** How much of the score to finger, around a place. */
export type FingerScope = "placing" | "bar" | "hand" | "score";

/** `keep` completes what is printed; `fresh` fingers the chosen notes anew. */
export type FingerMode = "keep" | "fresh";

/** A place in a text, as the editor and the server agreed to count it: both from 0. */
export interface TextPosition {
  readonly line: number;
  readonly character: number;
}

/** Argument of `placewright.finger`. */
export interface FingerRequest {
  readonly uri: string;
  readonly scope: FingerScope;
  /** Anywhere in the note or the measure that is meant. Not looked at when the scope is the whole score. */
  readonly position: TextPosition;
  readonly mode: FingerMode;
  /** The document's version that the position belongs to; refused when the text has changed since. */
  readonly version: number;
}

/**
 * How often something else than the text, a setting or an accepted finding, had changed what was found when the finding
 * was counted: refused when it has again. Not looked at when it is left out.
 */
export type Reading = number;

/** Argument of `placewright.fix`. */
export interface FixRequest {
  readonly uri: string;
  readonly version: number;
  /** Which of the version's findings, and which of its fixes, from 0. */
  readonly finding: number;
  readonly fix: number;
  readonly reading?: Reading;
}

/** Argument of `placewright.accept`. */
export interface AcceptRequest {
  readonly uri: string;
  readonly version: number;
  /** Which of the version's findings, from 0. */
  readonly finding: number;
  readonly reading?: Reading;
  /** True marks all findings of the same rule in the score. */
  readonly all?: boolean;
  /** Why it is meant to be so; plain words stand there without it, for the user to change. */
  readonly reason?: string;
}

/** Argument of `placewright.fixAll`. */
export interface FixAllRequest {
  readonly uri: string;
  readonly version: number;
  /** All repairs that are safe, or all of one rule's findings that offer one of this title. */
  readonly choice: "safe" | { readonly rule: string; readonly title: string };
}

/** What became of a command. */
export interface CommandResult {
  /** Whether the editor changed the text; false also when there was nothing to change. */
  readonly applied: boolean;
  /** How many places of the text were to be changed. */
  readonly edits: number;
}
