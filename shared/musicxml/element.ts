import { SaxesParser } from "saxes";
import type { Span } from "../text/span.ts";

export type Attributes = Readonly<Record<string, string>>;

/** An element of a MusicXML text and where each part of it stands. */
export interface LocatedElement {
  readonly name: string;
  readonly attributes: Attributes;
  readonly children: readonly LocatedElement[];
  /** Character data directly inside the element, joined. */
  readonly text: string;
  /** From `<` of the start tag up to and including `>` of the end tag. */
  readonly span: Span;
  /** Between the tags; empty, at the end of the element, when it is written `<name/>`. */
  readonly content: Span;
  readonly selfClosing: boolean;
  /** True when a comment or a processing instruction stands somewhere in it. */
  readonly holdsRemark: boolean;
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

/**
 * The character data of a stretch between two tags, with references resolved and line ends as LF.
 * @param content holds no elements, or only such whose text is not wanted.
 */
export function textBetween(source: string, start: number, end: number): string {
  const raw = source.slice(start, end);
  // A single character, as most texts in a score are, is itself.
  return raw.length > 1 && needsReading.test(raw) ? readText(raw) : raw;
}

/** References, CDATA, comments, and line ends that XML reads as LF. */
const needsReading = /[&<\r]/;

function readText(raw: string): string {
  const pieces: string[] = [];
  const parser = new SaxesParser({ fragment: true });
  let depth = 0;
  const add = (data: string): void => {
    if (depth === 0) pieces.push(data);
  };
  parser.on("text", add);
  parser.on("cdata", add);
  parser.on("opentag", () => {
    depth += 1;
  });
  parser.on("closetag", () => {
    depth -= 1;
  });
  // What is not well-formed was reported where the text was read as a whole.
  parser.on("error", () => undefined);
  parser.write(raw).close();
  return pieces.join("");
}
