import type { Edit } from "../text/edits.ts";
import type { Span } from "../text/span.ts";
import { indentBefore, indentUnit, leadingSpaceStart, lineEndBefore } from "./layout.ts";
import type { NoteSite } from "./noteSite.ts";

/** One end of a bracket to be written. */
export interface BracketToWrite {
  readonly type: "start" | "stop";
  /** 1 to 16. */
  readonly number: number;
  readonly placement: "above" | "below";
  /** Divisions from where the direction stands; 0 for none. */
  readonly offsetDivisions: number;
  readonly voice: string | undefined;
  /** Undefined in a part of one staff. */
  readonly staff: number | undefined;
}

/** The edit that writes a bracket's end just before a note. */
export function bracketBefore(text: string, note: NoteSite, bracket: BracketToWrite): Edit {
  const indent = indentBefore(text, note.span.start);
  const after = indent === undefined ? "" : `${lineEndBefore(text, note.span.start)}${indent}`;
  return {
    span: { start: note.span.start, end: note.span.start },
    text: `${directionXml(text, note, bracket)}${after}`,
  };
}

/** The edit that writes a bracket's end just after a note. */
export function bracketAfter(text: string, note: NoteSite, bracket: BracketToWrite): Edit {
  const indent = indentBefore(text, note.span.start);
  const before = indent === undefined ? "" : `${lineEndBefore(text, note.span.start)}${indent}`;
  return {
    span: { start: note.span.end, end: note.span.end },
    text: `${before}${directionXml(text, note, bracket)}`,
  };
}

/** The edit that takes a bracket's end away, with the white space that led up to it. */
export function removeBracketEnd(text: string, removal: Span): Edit {
  return { span: { start: leadingSpaceStart(text, removal.start), end: removal.end }, text: "" };
}

/**
 * A bracket's end as an element, laid out as the note that it stands beside, without the white space around it.
 * Source for the order of elements and the attributes that are required: MusicXML 4.0, musicxml.xsd, direction.
 */
export function directionXml(
  text: string,
  note: Pick<NoteSite, "span" | "firstChild">,
  bracket: BracketToWrite,
): string {
  const lineEnd = lineEndBefore(text, note.span.start);
  const indent = indentBefore(text, note.span.start);
  const unit = indentUnit(indent, indentBefore(text, note.firstChild));
  const line = (depth: number): string =>
    indent === undefined ? "" : `${lineEnd}${indent}${unit.repeat(depth)}`;
  // Above the staff the hooks point down to the notes, below it up.
  const hook = bracket.placement === "above" ? "down" : "up";
  const parts = [
    `<direction placement="${bracket.placement}">`,
    `${line(1)}<direction-type>`,
    `${line(2)}<bracket type="${bracket.type}" number="${bracket.number}" line-end="${hook}"/>`,
    `${line(1)}</direction-type>`,
  ];
  if (bracket.offsetDivisions !== 0) parts.push(`${line(1)}<offset>${bracket.offsetDivisions}</offset>`);
  if (bracket.voice !== undefined) parts.push(`${line(1)}<voice>${escapeText(bracket.voice)}</voice>`);
  if (bracket.staff !== undefined) parts.push(`${line(1)}<staff>${bracket.staff}</staff>`);
  parts.push(`${line(0)}</direction>`);
  return parts.join("");
}

function escapeText(value: string): string {
  return value.replace(/&/g, "&amp;").replace(/</g, "&lt;").replace(/>/g, "&gt;");
}
