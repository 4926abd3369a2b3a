import type { WrittenHand } from "../fingering/written.ts";
import type { Finding, FindingPlace } from "../rules/define.ts";
import type { EventNote, LineEvent } from "../score/handLines.ts";
import type { BracketEnd, Note, Score } from "../score/model.ts";
import { pitchName } from "../score/pitch.ts";
import { add, compare, format, type Rational, subtract } from "../score/rational.ts";
import { contains } from "../text/span.ts";
import { textHash } from "../text/textHash.ts";
import { lastNotAfter } from "./noteAt.ts";

/** The music and the print that a finding is about. */
export interface SignedScore {
  readonly score: Score;
  readonly hands: readonly WrittenHand[];
}

/**
 * What tells a finding's place in a score from others: 16 hexadecimal digits, made of the notes that the hand plucks
 * there (names and octaves, in order), the times between them, how they are played (grace notes, rolls, harmonics,
 * slides, tremolos and trills), and the fingers and brackets that are printed at them.
 *
 * Offsets, ids, bar numbers, voices, titles and layout have no part in it, so that it outlives a notation editor that
 * writes the file anew, and bars that are put before. It changes when a note, a time, a finger or a bracket there does.
 * The place is the finding's own notes with the brackets over them and two events on each side in the same bars; of a
 * passage, all its places that are compared, whole.
 */
export function placeSignature(signed: SignedScore, finding: Finding): string {
  const focus = focusOf(signed, finding);
  const ranges = isCompared(finding) ? finding.places : around(signed, focus, finding);
  const texts = ranges.map((range) => rangeText(signed, range, focus));
  return textHash([finding.hand ?? "", ...texts].join("|"));
}

/** Several places that are compared count whole, and with nothing around: the music around each is another. */
function isCompared({ places }: Finding): boolean {
  return places.length > 1;
}

/** The notes that a finding points at, and those that it points to beside. */
function focusOf({ hands }: SignedScore, { span, related }: Finding): Map<Note, FindingPlace> {
  const notes = inTextOrder(hands);
  const found = new Map<Note, FindingPlace>();
  for (const place of [span, ...related.map((each) => each.span)]) {
    const last = lastNotAfter(notes, ({ note }) => note.site.span.start, place.start);
    if (last && contains(last.note.site.span, place)) found.set(last.note, last.place);
  }
  return found;
}

interface PlacedNote {
  readonly note: Note;
  readonly place: FindingPlace;
}

const known = new WeakMap<readonly WrittenHand[], readonly PlacedNote[]>();

/** What the hands pluck, in the order of the text; kept as long as the hands are. */
function inTextOrder(hands: readonly WrittenHand[]): readonly PlacedNote[] {
  let notes = known.get(hands);
  if (!notes) {
    notes = hands
      .flatMap(({ hand, line }) =>
        [...line.places].map(([note, { event }]) => ({ note, place: { hand, first: event, last: event } })),
      )
      .sort((a, b) => a.note.site.span.start - b.note.site.span.start);
    known.set(hands, notes);
  }
  return notes;
}

/** How many events on each side belong to a place, as far as its bars reach. */
const contextEvents = 2;

function around(
  { hands }: SignedScore,
  focus: ReadonlyMap<Note, FindingPlace>,
  { places }: Finding,
): FindingPlace[] {
  return hands.flatMap((written) => {
    const own = [...places, ...focus.values()]
      .filter(({ hand }) => hand === written.hand)
      .map((range) => withContext(written, withBrackets(written, range)))
      .sort((a, b) => a.first - b.first || a.last - b.last);
    const merged: { hand: FindingPlace["hand"]; first: number; last: number }[] = [];
    for (const { hand, first, last } of own) {
      const before = merged[merged.length - 1];
      if (before && first <= before.last + 1) before.last = Math.max(before.last, last);
      else merged.push({ hand, first, last });
    }
    return merged;
  });
}

function withBrackets({ brackets }: WrittenHand, { hand, first, last }: FindingPlace): FindingPlace {
  const over = brackets.brackets.filter((bracket) => bracket.first <= last && bracket.last >= first);
  return {
    hand,
    first: Math.min(first, ...over.map((bracket) => bracket.first)),
    last: Math.max(last, ...over.map((bracket) => bracket.last)),
  };
}

function withContext({ line }: WrittenHand, { hand, first, last }: FindingPlace): FindingPlace {
  const bar = (event: number): number | undefined => line.events[event]?.notes[0]?.note.measure.index;
  let [from, to] = [first, last];
  while (from > 0 && from > first - contextEvents && bar(from - 1) === bar(first)) from -= 1;
  while (to < last + contextEvents && bar(to + 1) === bar(last)) to += 1;
  return { hand, first: from, last: to };
}

function rangeText(
  { score, hands }: SignedScore,
  { hand, first, last }: FindingPlace,
  focus: ReadonlyMap<Note, FindingPlace>,
): string {
  const written = hands.find((candidate) => candidate.hand === hand)!;
  const { events } = written.line;
  const signs = bracketSigns(score, written, first, last);
  const words: string[] = [];
  for (let i = first; i <= last; i += 1) {
    const event = events[i]!;
    const wait = i > first ? format(subtract(event.onset, events[i - 1]!.onset)) : "";
    const notes = event.notes.map((entry) => noteText(entry, focus)).join("+");
    words.push(`${wait} ${signs.before(i)}${notes}${signs.after(i)}${mannerOf(event)}`);
  }
  return `${hand} ${words.join(" ")}`;
}

function noteText({ note, doubles }: EventNote, focus: ReadonlyMap<Note, FindingPlace>): string {
  const all = [note, ...doubles];
  // Voices may come back in another order.
  const fingers = all.map(fingersOf).filter((text) => text !== "");
  const mark = all.some((each) => focus.has(each)) ? "!" : "";
  return `${pitchName(note.pitch)}${mark}:${fingers.sort().join("&")}`;
}

function fingersOf({ fingerings }: Note): string {
  return fingerings
    .map(({ text, substitution, alternate }) => `${substitution ? ">" : ""}${alternate ? "?" : ""}${text}`)
    .join(",");
}

function mannerOf(event: LineEvent): string {
  const marks = event.notes.flatMap(({ note, doubles }) => [note, ...doubles].map((each) => each.marks));
  const has = (name: keyof (typeof marks)[number]): string =>
    marks.some((mark) => mark[name] !== undefined && mark[name] !== false) ? ` ${name}` : "";
  return [
    event.grace ? " grace" : "",
    event.rolled ? " rolled" : "",
    has("harmonic"),
    has("slideStart"),
    has("slideStop"),
    has("tremolo"),
    has("trill"),
  ].join("");
}

interface BracketSigns {
  before(event: number): string;
  after(event: number): string;
}

/** The brackets of a range: where they start and stop, and ends that have no other. */
function bracketSigns(
  score: Score,
  { line, brackets: { brackets, unmatched } }: WrittenHand,
  first: number,
  last: number,
): BracketSigns {
  const before = new Map<number, string>();
  const after = new Map<number, string>();
  const put = (signs: Map<number, string>, event: number, sign: string): void => {
    if (event >= first && event <= last) signs.set(event, `${signs.get(event) ?? ""}${sign}`);
  };
  for (const bracket of brackets) {
    put(before, bracket.first, "(");
    put(after, bracket.last, ")");
  }
  for (const end of unmatched) {
    const at = timeOf(score, end);
    if (end.type === "start") {
      put(
        before,
        line.events.findIndex(({ onset }) => compare(onset, at) >= 0),
        "{",
      );
    } else {
      put(
        after,
        line.events.findLastIndex(({ onset }) => compare(onset, at) < 0),
        "}",
      );
    }
  }
  return { before: (event) => before.get(event) ?? "", after: (event) => after.get(event) ?? "" };
}

function timeOf(score: Score, { measure, position }: BracketEnd): Rational {
  return add(score.measureStarts[measure.index]!, position);
}
