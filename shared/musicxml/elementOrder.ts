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

/** Where the name that begins at `start` ends: at white space, or at the end of its tag. */
function nameEnd(text: string, start: number): number {
  for (let at = start; at < text.length; at += 1) {
    const code = text.charCodeAt(at);
    if (code === greater || code === slash || code <= blank) return at;
  }
  return text.length;
}

/** Where what begins at `start` with `<!` or `<?` ends: a comment, a CDATA section or a processing instruction. */
function remarkEnd(text: string, start: number): number {
  const closing = text.startsWith("<!--", start) ? "-->" : text[start + 1] === "?" ? "?>" : "]]>";
  const at = text.indexOf(closing, start + 2);
  return at < 0 ? text.length : at + closing.length;
}

/** Where a tag ends whose name ends at `at`: a `>` that is in no attribute's value. */
function tagEnd(text: string, at: number): number {
  for (let end = at; end < text.length; end += 1) {
    const code = text.charCodeAt(end);
    if (code === greater) return end + 1;
    if (code !== doubleQuote && code !== singleQuote) continue;
    const quote = text.indexOf(text[end]!, end + 1);
    if (quote < 0) return text.length;
    end = quote;
  }
  return text.length;
}

const [blank, doubleQuote, singleQuote, slash, greater] = [32, 34, 39, 47, 62];
const [exclamation, question] = [33, 63];

interface OpenElement {
  readonly order: ReadonlyMap<string, number> | undefined;
  readonly name: string;
  rank: number;
  last: string;
  told: boolean;
}

/**
 * The first element of each parent that stands out of order in a stretch of well-formed text, in text order.
 *
 * @param within whole elements and what is between them.
 * Time O(length of the stretch).
 */
export function misplacedElements(text: string, within: Span): Misplaced[] {
  const found: Misplaced[] = [];
  const open: OpenElement[] = [];
  let start = text.indexOf("<", within.start);
  for (let end: number; start >= 0 && start < within.end; start = text.indexOf("<", end)) {
    const next = text.charCodeAt(start + 1);
    if (next === exclamation || next === question) {
      end = remarkEnd(text, start);
      continue;
    }
    if (next === slash) {
      open.pop();
      end = start + 2;
      continue;
    }
    const nameStop = nameEnd(text, start + 1);
    const name = text.slice(start + 1, nameStop);
    end = tagEnd(text, nameStop);
    const parent = open[open.length - 1];
    const rank = parent?.order?.get(name);
    if (parent && rank !== undefined) {
      if (rank >= parent.rank) {
        parent.rank = rank;
        parent.last = name;
      } else if (!parent.told) {
        parent.told = true;
        found.push({ parent: parent.name, child: name, after: parent.last, span: { start, end } });
      }
    }
    if (text.charCodeAt(end - 2) !== slash)
      open.push({ name, order: ranks.get(name), rank: 0, last: "", told: false });
  }
  return found;
}
