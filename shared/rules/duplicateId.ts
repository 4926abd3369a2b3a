import type { Note } from "../score/model.ts";
import type { Span } from "../text/span.ts";
import { defineRule, type RuleInput } from "./define.ts";
import { BarMemory } from "./support/barMemory.ts";
import { placeInHands } from "./support/piece.ts";
import { keptWithPrint } from "./support/printMemory.ts";

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
    const repeated = repeatedIds(input);
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

/** With spans from the beginning of the piece. */
const idsByPiece = keptWithPrint(() => new BarMemory<readonly Span[]>());

/** What looks like an id, wherever it stands, without its quotes. It has no `<` before them, with which bars begin. */
function idsIn(input: RuleInput): Span[] {
  const { text, score } = input;
  const bars = score.parts.flatMap(({ measures }) => measures.map(({ span }) => span.start));
  const starts = [0, ...bars.sort((a, b) => a - b)];
  const pieces = starts.map((start, i) => text.slice(start, starts[i + 1]));
  return idsByPiece(input)
    .answers(pieces, idsInPiece)
    .flatMap((ids, i) => ids.map(({ start, end }) => ({ start: starts[i]! + start, end: starts[i]! + end })));
}

/** No texts, which would keep all of the score that they are cut from in memory. */
function idsInPiece(text: string): Span[] {
  return [...text.matchAll(/\sid\s*=\s*(?:"([^"<]*)"|'([^'<]*)')/g)].map(
    ({ index, 0: all, 1: double, 2: single }) => {
      const end = index + all.length - 1;
      return { start: end - (double ?? single!).length, end };
    },
  );
}

function repeatedIds(input: RuleInput): RepeatedId[] {
  const { text } = input;
  const firsts = new Map<string, number>();
  const repeated = new Map<string, { readonly at: number; others: Span[] }>();
  for (const value of idsIn(input)) {
    const quote = value.start - 1;
    const start = text.lastIndexOf("<", quote);
    if (start < text.lastIndexOf(">", quote) || referring.has(nameAt(text, start))) continue;
    const id = text.slice(value.start, value.end);
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
