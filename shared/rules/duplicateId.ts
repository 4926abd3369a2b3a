import type { Note } from "../score/model.ts";
import type { Span } from "../text/span.ts";
import { defineRule, type RuleInput } from "./define.ts";
import { placeInHands } from "./support/piece.ts";

/**
 * Elements whose `id` refers to another one's.
 * Source: MusicXML 4.0, musicxml.xsd, attributes id of type xs:IDREF.
 */
const referring = new Set([
  "part",
  "midi-device",
  "midi-instrument",
  "play",
  "instrument",
  "instrument-change",
  "instrument-link",
]);

export const duplicateId = defineRule({
  id: "duplicate-id",
  severity: "error",
  summary: "Two elements have the same id.",
  why: "An id stands once in a document, or the file is not valid and programs refuse it or follow links to the wrong place. Copied passages often bring their ids along.",
  bad: "C4=a D4=b E4=a F4=c",
  good: "C4=a D4=b E4=d F4=c",
  fixes: [],
  check(input, report) {
    const repeated = repeatedIds(input.text);
    if (repeated.length === 0) return;
    const notes = new Map<number, Note>();
    for (const part of input.score.parts)
      for (const note of part.notes) notes.set(note.site.startTag.start, note);
    for (const { id, first, others } of repeated) {
      const note = notes.get(others[0]!.start);
      const times = others.length === 1 ? "twice" : `${others.length + 1} times`;
      report({
        span: others[0]!,
        message: `The id ${JSON.stringify(id)} stands ${times}; in a valid file it stands once. Give the copies ids of their own, or none.`,
        // Some programs declare an instrument anew where it is taken up again.
        severity: nameAt(input.text, others[0]!.start) === "score-instrument" ? "warning" : undefined,
        at: note && placeInHands(input, note),
        related: [first, ...others.slice(1)].map((span) => ({ span, message: "It stands here too." })),
      });
    }
  },
});

interface RepeatedId {
  readonly id: string;
  readonly first: Span;
  /** Start tags, at least one. */
  readonly others: Span[];
}

function repeatedIds(text: RuleInput["text"]): RepeatedId[] {
  const firsts = new Map<string, number>();
  const repeated = new Map<string, { readonly at: number; others: Span[] }>();
  for (const { index, 1: double, 2: single } of text.matchAll(/\sid\s*=\s*(?:"([^"<]*)"|'([^'<]*)')/g)) {
    const start = text.lastIndexOf("<", index);
    if (start < text.lastIndexOf(">", index) || referring.has(nameAt(text, start))) continue;
    const id = double ?? single!;
    const first = firsts.get(id);
    if (first === undefined) {
      firsts.set(id, start);
      continue;
    }
    if (isInComment(text, start)) continue;
    if (isInComment(text, first)) {
      firsts.set(id, start);
      continue;
    }
    const known = repeated.get(id) ?? { at: first, others: [] };
    known.others.push(startTag(text, start));
    repeated.set(id, known);
  }
  return [...repeated].map(([id, { at, others }]) => ({ id, first: startTag(text, at), others }));
}

function nameAt(text: string, start: number): string {
  return /[^\s/>]*/.exec(text.slice(start + 1, start + 40))![0];
}

function startTag(text: string, start: number): Span {
  return { start, end: text.indexOf(">", start) + 1 };
}

function isInComment(text: string, offset: number): boolean {
  const open = Math.max(text.lastIndexOf("<!--", offset), text.lastIndexOf("<![CDATA[", offset));
  if (open < 0) return false;
  const close = text.indexOf(text.startsWith("<!--", open) ? "-->" : "]]>", open);
  return close > offset;
}
