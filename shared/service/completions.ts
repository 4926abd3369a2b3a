import { fingers } from "../fingering/model.ts";
import { directionXml } from "../musicxml/bracketEdits.ts";
import type { NoteSite } from "../musicxml/noteSite.ts";
import { contains, type Span } from "../text/span.ts";
import type { Analysis } from "./analyse.ts";
import { noteView } from "./noteView.ts";

/** Something that can be typed at a place. */
export interface Completion {
  readonly kind: "finger" | "bracket";
  readonly label: string;
  /** What it costs, or what it is for; may be empty. */
  readonly detail: string;
  /** What it takes the place of. */
  readonly span: Span;
  readonly text: string;
}

/**
 * What can be typed at a place, best first: the fingers of the note in a `<fingering>`, with what each costs more
 * than the best; a placing bracket's ends between the children of a measure. A text that is broken just now is still
 * completed, without costs.
 */
export function completions(analysis: Analysis, offset: number): Completion[] {
  return fingerCompletions(analysis, offset) ?? bracketCompletions(analysis, offset);
}

/** Looking back farther than this for the start of a tag finds another one's. */
const longestTag = 400;

function fingerCompletions(analysis: Analysis, offset: number): Completion[] | undefined {
  const { text } = analysis;
  const before = text.slice(Math.max(0, offset - longestTag), offset);
  const opened = /<fingering(?:\s[^<>]*)?(?<!\/)>([^<>]*)$/.exec(before);
  if (!opened) return undefined;
  const rest = /^[^<>\r\n]*/.exec(text.slice(offset, offset + longestTag))![0];
  const span = { start: offset - opened[1]!.length, end: offset + rest.length };
  const choices = noteView(analysis, offset)?.plucked?.choice.choices;
  if (!choices) {
    return fingers.map((finger) => ({
      kind: "finger",
      label: String(finger),
      detail: "",
      span,
      text: String(finger),
    }));
  }
  return [...choices]
    .sort((a, b) => a.moreMilli - b.moreMilli)
    .map(({ finger, moreMilli, comparison }) => ({
      kind: "finger",
      label: String(finger),
      detail: moreMilli === 0 ? "as it is" : comparison.words,
      span,
      text: String(finger),
    }));
}

/** After these a `<direction>` may stand. Source: MusicXML 4.0, musicxml.xsd, group music-data. */
const betweenChildren =
  /^<(?:measure\b[^>]*[^/]|measure|\/(?:note|backup|forward|direction|attributes|harmony|figured-bass|print|sound|listening|barline|grouping|link|bookmark)|(?:print|sound|barline|grouping|link|bookmark)\b[^>]*\/)>$/;

function bracketCompletions(analysis: Analysis, offset: number): Completion[] {
  const { text } = analysis;
  const typed = /<[\w-]*$/.exec(text.slice(Math.max(0, offset - longestTag), offset))?.[0] ?? "";
  // Inside the name of a tag that is there already nothing new begins.
  if (typed !== "" && /^[\w\-/>]/.test(text.slice(offset, offset + 1))) return [];
  const span = { start: offset - typed.length, end: offset };
  const before = text.slice(0, span.start).trimEnd();
  if (!betweenChildren.test(before.slice(before.lastIndexOf("<")))) return [];
  const next = noteAfter(text, offset);
  // A direction may not part the notes of a chord.
  if (next?.chord && text.slice(offset, next.site.span.start).trim() === "") return [];
  const previous = noteBefore(text, span.start);
  return [
    ...(next ? [bracket(analysis, span, next, "start")] : []),
    ...(previous ? [bracket(analysis, span, previous, "stop")] : []),
  ];
}

interface TypedNote {
  readonly site: Pick<NoteSite, "span" | "firstChild">;
  readonly chord: boolean;
  readonly voice: string | undefined;
  readonly staff: string | undefined;
}

function noteAfter(text: string, offset: number): TypedNote | undefined {
  const start = text.slice(offset).search(/<note[\s>]/);
  const measureEnd = text.indexOf("</measure>", offset);
  if (start < 0 || (measureEnd >= 0 && offset + start > measureEnd)) return undefined;
  return readTypedNote(text, offset + start);
}

function noteBefore(text: string, offset: number): TypedNote | undefined {
  const measureStart = text.lastIndexOf("<measure", offset);
  const inside = text.slice(Math.max(0, measureStart), offset);
  const starts = [...inside.matchAll(/<note[\s>]/g)];
  const last = starts.at(-1);
  return last && readTypedNote(text, Math.max(0, measureStart) + last.index);
}

/** Reads the little that a bracket needs, even from a text that is not well-formed elsewhere. */
function readTypedNote(text: string, start: number): TypedNote | undefined {
  const close = text.indexOf("</note>", start);
  if (close < 0) return undefined;
  const end = close + "</note>".length;
  const element = text.slice(start, end);
  const child = element.indexOf("<", element.indexOf(">"));
  return {
    site: { span: { start, end }, firstChild: start + child },
    chord: /<chord\s*\/>/.test(element),
    voice: /<voice>([^<]*)<\/voice>/.exec(element)?.[1],
    staff: /<staff>\s*(\d+)\s*<\/staff>/.exec(element)?.[1],
  };
}

function bracket(analysis: Analysis, span: Span, note: TypedNote, type: "start" | "stop"): Completion {
  const staff = note.staff === undefined ? undefined : Number(note.staff);
  const right = (staff ?? 1) % 2 === 1;
  const text = directionXml(analysis.text, note.site, {
    type,
    number: bracketNumber(analysis, span.start, staff ?? 1, type),
    placement: right ? "above" : "below",
    offsetDivisions: 0,
    voice: note.voice,
    staff,
  });
  return {
    kind: "bracket",
    label: type === "start" ? "placing bracket: start" : "placing bracket: stop",
    detail: type === "start" ? "before the placing's first note" : "after the placing's last note",
    span,
    text,
  };
}

/** To start with: the lowest of the staff's numbers that is not open here. To stop with: the one opened last. */
function bracketNumber({ score }: Analysis, offset: number, staff: number, type: "start" | "stop"): number {
  const wanted = staff % 2 === 1 ? [1, 2, 5, 6] : [3, 4, 7, 8];
  const place = { start: offset, end: offset };
  const part = score.parts.find((candidate) => contains(candidate.span, place)) ?? score.parts[0];
  const open: number[] = [];
  for (const end of part?.brackets ?? []) {
    if (end.span.start >= offset || end.staff !== staff) continue;
    const at = open.indexOf(end.number);
    if (end.type === "start") open.push(end.number);
    else if (end.type === "stop" && at >= 0) open.splice(at, 1);
  }
  const free = wanted.find((number) => !open.includes(number)) ?? wanted[0]!;
  return type === "stop" ? (open.at(-1) ?? wanted[0]!) : free;
}
