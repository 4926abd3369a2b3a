import type { Edit } from "../text/edits.ts";
import type { Span } from "../text/span.ts";
import { indentBefore, indentUnit, leadingSpaceStart, lineEndBefore } from "./layout.ts";
import type { FingeringSite, NotationsSite, NoteSite, TechnicalSite } from "./noteSite.ts";

/** The main fingering of a note: the first that is neither substitution nor alternate. */
export function mainFingeringSite(site: NoteSite): FingeringSite | undefined {
  for (const notations of site.notations) {
    for (const technical of notations.technical) {
      const main = technical.fingerings.find((fingering) => !fingering.substitution && !fingering.alternate);
      if (main) return main;
    }
  }
  return undefined;
}

/**
 * The edit that gives a note this fingering. A fingering that is there gets the new digit and keeps its attributes;
 * else `notations` and `technical` are made where the schema wants them, in the file's own indentation.
 *
 * @returns no edit when the note has this fingering already.
 * Source for the order of elements: MusicXML 4.0, musicxml.xsd, complexTypes note, notations, technical.
 */
export function setFingering(
  text: string,
  site: NoteSite,
  digit: string,
  placement: "above" | "below",
): Edit | undefined {
  const main = mainFingeringSite(site);
  if (main) return main.text === digit ? undefined : replaceFingering(text, main, digit);
  const fingering = `<fingering placement="${placement}">${digit}</fingering>`;
  const notations = site.notations.find((candidate) => candidate.printed);
  if (!notations) return newNotations(text, site, fingering);
  const technical = notations.technical[0];
  if (!technical)
    return intoElement(text, notations, "notations", (pad) => wrapped(pad, "technical", fingering));
  return intoElement(text, technical, "technical", () => fingering);
}

/** The edit that gives a fingering that is there another digit, and keeps its attributes. */
export function replaceFingering(text: string, fingering: FingeringSite, digit: string): Edit {
  if (!isEmptyElement(text, fingering.span)) return { span: fingering.content, text: digit };
  const open = text.slice(fingering.span.start, fingering.span.end).replace(/\s*\/>$/, ">");
  return { span: fingering.span, text: `${open}${digit}</fingering>` };
}

/** Digits, thumb signs of old prints, and what joins them: a text that a finger may take the place of. */
export function isFingerText(text: string): boolean {
  return /^[\d\s+TtxX,.\-–/()[\]]*$/.test(text);
}

/**
 * The edit that takes a fingering away, with the `technical` and `notations` that it leaves empty and the white space
 * that led up to them. A wrapper that has attributes says something by itself, and stays.
 */
export function removeFingering(text: string, site: NoteSite, fingering: FingeringSite): Edit {
  let gone: Span = withLeadingSpace(text, fingering.span);
  const notations = site.notations.find((candidate) => inside(candidate.span, fingering.span));
  const technical = notations?.technical.find((candidate) => inside(candidate.span, fingering.span));
  if (technical && isBare(text, technical) && isBlankWithout(text, technical.content, gone)) {
    gone = withLeadingSpace(text, technical.span);
    if (notations && isBare(text, notations) && isBlankWithout(text, notations.content, gone))
      gone = withLeadingSpace(text, notations.span);
  }
  return { span: gone, text: "" };
}

/** Line end and indentations for what is added: of the new element, and of one level deeper. */
interface Pad {
  readonly before: string;
  readonly deeper: Pad | undefined;
  readonly unit: string;
}

function pad(lineEnd: string, indent: string | undefined, unit: string, depth = 3): Pad {
  if (indent === undefined) return { before: "", deeper: undefined, unit: "" };
  return {
    before: `${lineEnd}${indent}`,
    deeper: depth > 0 ? pad(lineEnd, indent + unit, unit, depth - 1) : undefined,
    unit,
  };
}

function wrapped(at: Pad, name: string, content: string): string {
  return `<${name}>${at.deeper?.before ?? ""}${content}${at.before}</${name}>`;
}

function newNotations(text: string, site: NoteSite, fingering: string): Edit {
  const lineEnd = lineEndBefore(text, site.firstChild);
  const indent = indentBefore(text, site.firstChild);
  const at = pad(lineEnd, indent, indentUnit(indentBefore(text, site.span.start), indent));
  const technical = at.deeper
    ? wrapped(at.deeper, "technical", fingering)
    : wrapped(at, "technical", fingering);
  // Further `notations` follow those that are there, so that this one stays the last.
  const after = Math.max(site.notationsAt, ...site.notations.map((notations) => notations.span.end));
  return { span: { start: after, end: after }, text: at.before + wrapped(at, "notations", technical) };
}

/** Adds a last child to an element, opening it when it is written `<name/>`. */
function intoElement(
  text: string,
  element: NotationsSite | TechnicalSite,
  name: string,
  content: (pad: Pad) => string,
): Edit {
  const lineEnd = lineEndBefore(text, element.span.start);
  const outer = indentBefore(text, element.span.start);
  const firstChild = childStart(text, element.content);
  const inner = firstChild === undefined ? undefined : indentBefore(text, firstChild);
  const unit = indentUnit(outer, inner);
  const indent = inner ?? (firstChild === undefined && outer !== undefined ? outer + unit : undefined);
  const at = pad(lineEnd, indent, unit);
  if (element.selfClosing) {
    const open = text.slice(element.span.start, element.span.end).replace(/\s*\/>$/, ">");
    const close = outer === undefined ? "" : `${lineEnd}${outer}`;
    return { span: element.span, text: `${open}${at.before}${content(at)}${close}</${name}>` };
  }
  if (firstChild === undefined) {
    const close = outer === undefined ? "" : `${lineEnd}${outer}`;
    return { span: element.content, text: `${at.before}${content(at)}${close}` };
  }
  const lastEnd =
    element.content.start + text.slice(element.content.start, element.content.end).trimEnd().length;
  return { span: { start: lastEnd, end: lastEnd }, text: at.before + content(at) };
}

/** The start of the first thing in an element that is not white space. */
function childStart(text: string, content: Span): number | undefined {
  const rest = text.slice(content.start, content.end);
  const blank = rest.length - rest.trimStart().length;
  return blank === rest.length ? undefined : content.start + blank;
}

function isEmptyElement(text: string, element: Span): boolean {
  return text.endsWith("/>", element.end);
}

function inside(outer: Span, inner: Span): boolean {
  return outer.start <= inner.start && inner.end <= outer.end;
}

/** The start tag has no attributes. */
function isBare(text: string, element: Pick<TechnicalSite, "span" | "content">): boolean {
  return /^<[^\s>]+\s*>$/.test(text.slice(element.span.start, element.content.start));
}

function withLeadingSpace(text: string, element: Span): Span {
  return { start: leadingSpaceStart(text, element.start), end: element.end };
}

function isBlankWithout(text: string, content: Span, gone: Span): boolean {
  const rest =
    text.slice(content.start, Math.max(content.start, gone.start)) + text.slice(gone.end, content.end);
  return rest.trim() === "";
}
