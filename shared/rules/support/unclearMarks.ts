import type { WrittenHand } from "../../fingering/written.ts";
import { isPlucked } from "../../score/handLines.ts";
import { type HandName, type HarpChoice, handOf, handOfNote } from "../../score/hands.ts";
import { type HandMark, handMarks, handNamed } from "../../score/handWords.ts";
import type { Note, Part } from "../../score/model.ts";
import { pitchName } from "../../score/pitch.ts";
import { format } from "../../score/rational.ts";
import type { Report, RuleInput } from "../define.ts";
import { placeInHands } from "./piece.ts";
import { intervalWords } from "./places.ts";
import { reachOf } from "./reach.ts";

/** Words that give away more bars than this, and are never taken back, may be meant for a note or two. */
const mostBars = 2;

/** Words that give notes to a hand in a way that cannot be meant, and what is said of them. */
export interface UnclearMark {
  readonly mark: HandMark;
  readonly report: Report;
}

const known = new WeakMap<HarpChoice, readonly UnclearMark[]>();

/** The unclear marks of a score, in order. */
export function unclearMarks(input: RuleInput): readonly UnclearMark[] {
  const { harp, score } = input;
  let unclear = known.get(harp);
  if (!unclear) {
    const found: UnclearMark[] = [];
    for (const part of harp.exceptions.size === 0 ? [] : harp.parts) {
      let byBar: NotesByBar | undefined;
      for (const mark of handMarks(part, score.measureStarts)) {
        if (handOf(harp, part, mark.words.staff) === mark.hand) continue;
        byBar ??= notesByBar(part);
        const others = ownNotes(harp, part, mark, byBar);
        const report = neverTakenBack(input, part, mark, others) ?? beyondHand(input, mark, others);
        if (report) found.push({ mark, report });
      }
    }
    unclear = found;
    known.set(harp, unclear);
  }
  return unclear;
}

const givenNotes = new WeakMap<readonly UnclearMark[], ReadonlySet<Note>>();

/** True when a note of an event is given to its hand by an unclear mark: what the hands do there is not known. */
export function isUnclearlyGiven(input: RuleInput, { line }: WrittenHand, event: number): boolean {
  if (input.harp.exceptions.size === 0) return false;
  const unclear = unclearMarks(input);
  if (unclear.length === 0) return false;
  let given = givenNotes.get(unclear);
  if (!given) {
    given = new Set(unclear.flatMap(({ mark }) => mark.notes));
    givenNotes.set(unclear, given);
  }
  return line.events[event]!.notes.some(({ note }) => given.has(note));
}

type NotesByBar = ReadonlyMap<number, readonly Note[]>;

function notesByBar({ notes }: Part): NotesByBar {
  const byBar = new Map<number, Note[]>();
  for (const note of notes) {
    const bar = byBar.get(note.measure.index);
    if (bar) bar.push(note);
    else byBar.set(note.measure.index, [note]);
  }
  return byBar;
}

/** What the hand plays besides in the bars of the notes that it is given. */
function ownNotes(harp: HarpChoice, part: Part, mark: HandMark, byBar: NotesByBar): Note[] {
  const given = new Set(mark.notes);
  const bars = new Set(mark.notes.map(({ measure }) => measure.index));
  return [...bars]
    .flatMap((bar) => byBar.get(bar)!)
    .filter((note) => !given.has(note) && isPlucked(note) && handOfNote(harp, part, note) === mark.hand);
}

function neverTakenBack(
  input: RuleInput,
  part: Part,
  mark: HandMark,
  others: readonly Note[],
): Report | undefined {
  const [first, last] = [mark.notes[0]!, mark.notes[mark.notes.length - 1]!];
  const bars = last.measure.index - first.measure.index + 1;
  if (bars <= mostBars || isTakenBack(part, mark) || !isBusyOnItsOwn(mark, others)) return undefined;
  const other = otherHand(mark.hand);
  return {
    span: mark.words.span,
    message: `${JSON.stringify(mark.words.text)} gives ${mark.notes.length} notes to the ${mark.hand} hand, from bar ${first.measure.number} to bar ${last.measure.number}, and nothing takes it back. If it is meant for less, mark where the ${other} hand goes on.`,
    at: placeInHands(input, first),
  };
}

/** Words for either hand stand on the staff later on. */
function isTakenBack(part: Part, { words, notes }: HandMark): boolean {
  const last = notes[notes.length - 1]!;
  return part.words.some(
    (other) =>
      other !== words &&
      other.staff === words.staff &&
      other.notesBefore >= last.index &&
      handNamed(other.text) !== undefined,
  );
}

/** The hand has notes of its own staff in half of the bars or more. */
function isBusyOnItsOwn({ notes }: HandMark, others: readonly Note[]): boolean {
  const bars = new Set(notes.map(({ measure }) => measure.index));
  return 2 * new Set(others.map(({ measure }) => measure.index)).size >= bars.size;
}

/** At one moment the hand would have more notes than fingers, or notes that it does not reach. */
function beyondHand(input: RuleInput, mark: HandMark, others: readonly Note[]): Report | undefined {
  const byMoment = new Map<string, Note[]>();
  for (const other of others) {
    if (other.grace || other.staff === mark.words.staff) continue;
    const moment = byMoment.get(momentOf(other));
    if (moment) moment.push(other);
    else byMoment.set(momentOf(other), [other]);
  }
  const reach = reachOf(input.weights, 1, 4).possible + input.weights.rolled.extraSteps;
  for (const note of mark.notes) {
    if (!isPlucked(note) || note.grace) continue;
    const far = byMoment.get(momentOf(note))?.find((other) => Math.abs(other.string - note.string) > reach);
    if (!far) continue;
    return {
      span: mark.words.span,
      message: `${JSON.stringify(mark.words.text)} gives ${pitchName(note.pitch)} of bar ${note.measure.number} to the ${mark.hand} hand, which has ${pitchName(far.pitch)} at the same time: ${intervalWords(Math.abs(far.string - note.string))}, more than a hand reaches.`,
      at: placeInHands(input, note),
      related: [
        { span: note.site.startTag, message: "This note is given to it." },
        { span: far.site.startTag, message: "This one is its own." },
      ],
    };
  }
  return undefined;
}

function momentOf({ measure, position }: Note): string {
  return `${measure.index} ${format(position)}`;
}

function otherHand(hand: HandName): HandName {
  return hand === "right" ? "left" : "right";
}
