import type { Span } from "../text/span.ts";

/**
 * The children of an element in the order that the standard wants, those that stand in one place together. What is not
 * named here is not judged. Elements whose children may come in any order, or again and again in turn, have no entry.
 * Source: MusicXML 4.0, musicxml.xsd, the complex types of these names.
 */
export const childOrder: Readonly<Record<string, readonly (string | readonly string[])[]>> = {
  note: [
    "grace",
    "cue",
    "chord",
    ["pitch", "unpitched", "rest"],
    "duration",
    "tie",
    "instrument",
    "footnote",
    "level",
    "voice",
    "type",
    "dot",
    "accidental",
    "time-modification",
    "stem",
    "notehead",
    "notehead-text",
    "staff",
    "beam",
    "notations",
    "lyric",
    "play",
    "listen",
  ],
  pitch: ["step", "alter", "octave"],
  "time-modification": ["actual-notes", "normal-notes", "normal-type", "normal-dot"],
  backup: ["duration", "footnote", "level"],
  forward: ["duration", "footnote", "level", "voice", "staff"],
  direction: ["direction-type", "offset", "footnote", "level", "voice", "staff", "sound", "listening"],
  attributes: [
    "footnote",
    "level",
    "divisions",
    "key",
    "time",
    "staves",
    "part-symbol",
    "instruments",
    "clef",
    "staff-details",
    ["transpose", "for-part"],
    "directive",
    "measure-style",
  ],
  barline: ["bar-style", "footnote", "level", "wavy-line", "segno", "coda", "fermata", "ending", "repeat"],
};

/** An element that stands after one which the standard wants after it. */
export interface Misplaced {
  readonly parent: string;
  readonly child: string;
  /** The element before it that should come later. */
  readonly after: string;
  /** Its start tag. */
  readonly span: Span;
}

const ranks = new Map(
  Object.entries(childOrder).map(([parent, children]) => [
    parent,
    new Map(children.flatMap((place, rank) => [place].flat().map((name) => [name, rank] as const))),
  ]),
);

/** A comment, a CDATA section, a processing instruction, or a tag with its slashes and its name. */
const markup =
  /<!--[\s\S]*?-->|<!\[CDATA\[[\s\S]*?\]\]>|<\?[\s\S]*?\?>|<(\/?)([A-Za-z_][\w.-]*)(?:[^<>"']|"[^"]*"|'[^']*')*?(\/?)>/g;

/**
 * The first element of each parent that stands out of order in a stretch of well-formed text, in text order.
 *
 * @param within whole elements and what is between them.
 * Time O(length of the stretch).
 */
export function misplacedElements(text: string, within: Span): Misplaced[] {
  const found: Misplaced[] = [];
  const open: { name: string; rank: number; last: string; told: boolean }[] = [];
  for (const { index, 0: tag, 1: closing, 2: name, 3: empty } of text
    .slice(within.start, within.end)
    .matchAll(markup)) {
    if (name === undefined) continue;
    if (closing) {
      open.pop();
      continue;
    }
    const parent = open[open.length - 1];
    const rank = parent && ranks.get(parent.name)?.get(name);
    if (parent && rank !== undefined) {
      if (rank >= parent.rank) {
        parent.rank = rank;
        parent.last = name;
      } else if (!parent.told) {
        parent.told = true;
        const start = within.start + index;
        found.push({
          parent: parent.name,
          child: name,
          after: parent.last,
          span: { start, end: start + tag.length },
        });
      }
    }
    if (!empty) open.push({ name, rank: 0, last: "", told: false });
  }
  return found;
}
