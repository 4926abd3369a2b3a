import { leverPosition, pedalPosition } from "../mechanism/positions.ts";
import { type HandName, handOfNote } from "../score/hands.ts";
import type { Note } from "../score/model.ts";
import { harpStringName, letterOf, pitchName, stringName } from "../score/pitch.ts";
import { add, format, rational } from "../score/rational.ts";
import { firstWhere } from "../text/firstWhere.ts";
import type { Span } from "../text/span.ts";
import type { Analysis } from "./analyse.ts";
import { movesAt } from "./movesAt.ts";

/** A line that stands beside a `<note>` and says what it is. */
export interface NoteHint {
  /** After the note's start tag. */
  readonly offset: number;
  /** `bar 3, beat 5/2, right, C#5, finger 2, C5 lever up`. */
  readonly label: string;
  /** What more there is to say, such as the string's name. */
  readonly tooltip: string;
}

/** Hints for the harp's notes that begin in a stretch of the text, in its order. Time O(notes in it + log notes). */
export function noteHints(analysis: Analysis, visible: Span): NoteHint[] {
  const { harp } = analysis;
  if (!harp) return [];
  const moves = movesByNote(analysis);
  const hints: NoteHint[] = [];
  for (const part of harp.parts) {
    const first = firstWhere(part.notes.length, (i) => part.notes[i]!.site.span.start >= visible.start);
    for (let i = first; i < part.notes.length; i += 1) {
      const note = part.notes[i]!;
      if (note.site.span.start >= visible.end) break;
      const hand = handOfNote(harp, part, note);
      if (hand) hints.push(hintOf(analysis, note, hand, moves.get(note)));
    }
  }
  return hints.sort((a, b) => a.offset - b.offset);
}

function hintOf(
  analysis: Analysis,
  note: Note,
  hand: HandName,
  moves: ReadonlySet<string> = new Set(),
): NoteHint {
  const beat = format(add(note.position, rational(1)));
  const line = moves.size > 0 ? analysis.hands.find((one) => one.hand === hand)?.line : undefined;
  const place = line?.places.get(note);
  const sentences = place ? movesAt(analysis, hand, place.event) : [];
  const finger = fingerText(note);
  return {
    offset: note.site.startTag.end,
    label: [
      `bar ${note.measure.number}, beat ${beat}, ${hand}, ${pitchName(note.pitch)}${finger}`,
      ...moves,
    ].join(", "),
    tooltip: [harpStringName(note.string), ...sentences].join(". "),
  };
}

/** What levers or pedals do for a note: `F4 lever up`, `F pedal to sharp`. */
function movesByNote({ levers, pedals, instrument }: Analysis): Map<Note, Set<string>> {
  const moves = new Map<Note, Set<string>>();
  const add = ({ entry: { note } }: { readonly entry: { readonly note: Note } }, what: string): void => {
    moves.set(note, (moves.get(note) ?? new Set()).add(what));
  };
  for (const { need } of levers?.changes ?? []) {
    const way = leverPosition(instrument!, need.string, need.to);
    add(need.next, `${stringName(need.string)} lever ${way}`);
  }
  for (const { letter, to, next } of pedals?.changes ?? []) {
    add(next, `${letterOf(letter)} pedal to ${pedalPosition(to)}`);
  }
  return moves;
}

function fingerText(note: Note): string {
  if (note.fingerings.length > 0)
    return `, finger ${note.fingerings.map(({ text }) => text.trim()).join(" ")}`;
  if (note.continues) return ", held by a tie";
  return note.cue || !note.printed ? "" : ", no finger";
}
