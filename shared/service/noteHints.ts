import { type HandName, handOfNote } from "../score/hands.ts";
import type { Note } from "../score/model.ts";
import { harpStringName, pitchName } from "../score/pitch.ts";
import { add, format, rational } from "../score/rational.ts";
import { firstWhere } from "../text/firstWhere.ts";
import type { Span } from "../text/span.ts";
import type { Analysis } from "./analyse.ts";

/** A line that stands beside a `<note>` and says what it is. */
export interface NoteHint {
  /** After the note's start tag. */
  readonly offset: number;
  /** `bar 3, beat 5/2, right, C#5, finger 2`. */
  readonly label: string;
  /** What more there is to say, such as the string's name. */
  readonly tooltip: string;
}

/** Hints for the harp's notes that begin in a stretch of the text, in its order. Time O(notes in it + log notes). */
export function noteHints({ harp }: Analysis, visible: Span): NoteHint[] {
  if (!harp) return [];
  const hints: NoteHint[] = [];
  for (const part of harp.parts) {
    const first = firstWhere(part.notes.length, (i) => part.notes[i]!.site.span.start >= visible.start);
    for (let i = first; i < part.notes.length; i += 1) {
      const note = part.notes[i]!;
      if (note.site.span.start >= visible.end) break;
      const hand = handOfNote(harp, part, note);
      if (hand) hints.push(hintOf(note, hand));
    }
  }
  return hints.sort((a, b) => a.offset - b.offset);
}

function hintOf(note: Note, hand: HandName): NoteHint {
  const beat = format(add(note.position, rational(1)));
  return {
    offset: note.site.startTag.end,
    label: `bar ${note.measure.number}, beat ${beat}, ${hand}, ${pitchName(note.pitch)}${fingerText(note)}`,
    tooltip: harpStringName(note.string),
  };
}

function fingerText(note: Note): string {
  if (note.fingerings.length > 0)
    return `, finger ${note.fingerings.map(({ text }) => text.trim()).join(" ")}`;
  if (note.continues) return ", held by a tie";
  return note.cue || !note.printed ? "" : ", no finger";
}
