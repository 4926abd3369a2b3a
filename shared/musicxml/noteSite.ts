import type { Span } from "../text/span.ts";
import type { LocatedElement } from "./element.ts";

/** Where a `<fingering>` stands and what it says. */
export interface FingeringSite {
  readonly span: Span;
  /** Between its tags. */
  readonly content: Span;
  readonly text: string;
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

/** Children of a note that follow `notations`. Source: MusicXML 4.0, musicxml.xsd, complexType note. */
const afterNotations = new Set(["notations", "lyric", "play", "listen"]);

/** Finds the places of a `<note>`. */
export function noteSite(note: LocatedElement): NoteSite {
  let notationsAt = note.content.start;
  const notations: NotationsSite[] = [];
  for (const part of note.children) {
    if (part.name === "notations") notations.push(notationsSite(part));
    if (!afterNotations.has(part.name)) notationsAt = part.span.end;
  }
  return {
    span: note.span,
    startTag: { start: note.span.start, end: note.content.start },
    notationsAt,
    firstChild: note.children[0]?.span.start ?? note.content.start,
    notations,
  };
}

function notationsSite(element: LocatedElement): NotationsSite {
  return {
    span: element.span,
    content: element.content,
    selfClosing: element.selfClosing,
    printed: element.attributes["print-object"] !== "no",
    technical: element.children.filter((part) => part.name === "technical").map(technicalSite),
  };
}

function technicalSite(element: LocatedElement): TechnicalSite {
  return {
    span: element.span,
    content: element.content,
    selfClosing: element.selfClosing,
    fingerings: element.children
      .filter((part) => part.name === "fingering")
      .map((part) => ({
        span: part.span,
        content: part.content,
        text: part.text.trim(),
        substitution: part.attributes.substitution === "yes",
        alternate: part.attributes.alternate === "yes",
      })),
  };
}
