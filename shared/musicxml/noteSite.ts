import type { Span } from "../text/span.ts";

/** Where a `<fingering>` stands and what it says. */
export interface FingeringSite {
  readonly span: Span;
  /** Between its tags. */
  readonly content: Span;
  readonly text: string;
  /** The number that the text is; undefined when it is none. */
  readonly number: number | undefined;
  readonly substitution: boolean;
  readonly alternate: boolean;
}

export interface TechnicalSite {
  readonly span: Span;
  readonly content: Span;
  readonly selfClosing: boolean;
  readonly fingerings: readonly FingeringSite[];
}

export interface NotationsSite {
  readonly span: Span;
  readonly content: Span;
  readonly selfClosing: boolean;
  /** False for `print-object="no"`: what stands in it is not printed. */
  readonly printed: boolean;
  readonly technical: readonly TechnicalSite[];
}

/** Where a note stands in the text, and where its fingering stands or would go. */
export interface NoteSite {
  readonly span: Span;
  /** From `<note` up to and including its `>`. */
  readonly startTag: Span;
  /** After the last child that comes before `notations` in the schema's order. */
  readonly notationsAt: number;
  /** Start of the note's first child: shows the indentation of its children. */
  readonly firstChild: number;
  readonly notations: readonly NotationsSite[];
}
