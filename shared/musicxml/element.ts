import type { Span } from "../text/span.ts";

/** An element of a MusicXML text and where each part of it stands. */
export interface LocatedElement {
  readonly name: string;
  readonly attributes: Readonly<Record<string, string>>;
  readonly children: readonly LocatedElement[];
  /** Character data directly inside the element, joined. */
  readonly text: string;
  /** From `<` of the start tag up to and including `>` of the end tag. */
  readonly span: Span;
  /** Between the tags; empty, at the end of the element, when it is written `<name/>`. */
  readonly content: Span;
  readonly selfClosing: boolean;
}

export function child(element: LocatedElement, name: string): LocatedElement | undefined {
  for (const candidate of element.children) if (candidate.name === name) return candidate;
  return undefined;
}

export function childText(element: LocatedElement, name: string): string | undefined {
  return child(element, name)?.text.trim();
}

export function childrenNamed(element: LocatedElement, name: string): LocatedElement[] {
  return element.children.filter((candidate) => candidate.name === name);
}
