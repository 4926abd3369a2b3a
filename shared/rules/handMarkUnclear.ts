import { isPlucked } from "../score/handLines.ts";
import { type HandName, type HarpChoice, handOf, handOfNote } from "../score/hands.ts";
import { type HandMark, handMarks, handNamed } from "../score/handWords.ts";
import type { Note, Part } from "../score/model.ts";
import { pitchName } from "../score/pitch.ts";
import { format } from "../score/rational.ts";
import { defineRule, type Report, type RuleInput } from "./define.ts";
import { placeInHands } from "./support/piece.ts";
import { intervalWords } from "./support/places.ts";
import { reachOf } from "./support/reach.ts";

/** Words that give away more bars than this, and are never taken back, may be meant for a note or two. */
const mostBars = 2;

export const handMarkUnclear = defineRule({
  id: "hand-mark-unclear",
  severity: "warning",
  summary:
    "Words such as l.h. give notes to a hand and are never taken back, or give it what it cannot have.",
  why: "A mark holds until another one or a rest. A player who reads on cannot know when the hands are back at their own staves, unless the other hand's mark says it.",
  bad: "R: <l.h.>E4/4 | F4/4 | G4/4 | F4/4 // L: C3/4 | D3/4 | E3/4 | F3/4",
  good: "R: <l.h.>E4/4 | <r.h.>F4/4 | G4/4 | F4/4 // L: C3/4 | D3/4 | E3/4 | F3/4",
  fixes: [],
  check(input, report) {
    if (input.harp.exceptions.size === 0) return;
    for (const part of input.harp.parts) {
      let byBar: NotesByBar | undefined;
      for (const mark of handMarks(part, input.score.measureStarts)) {
        if (handOf(input.harp, part, mark.words.staff) === mark.hand) continue;
        byBar ??= notesByBar(part);
        const others = ownNotes(input.harp, part, mark, byBar);
        const found = neverTakenBack(input, part, mark, others) ?? beyondHand(input, mark, others);
        if (found) report(found);
      }
    }
  },
});

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
