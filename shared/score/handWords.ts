import type { HandName } from "./hands.ts";
import type { Note, Part, Words } from "./model.ts";
import { add, compare, larger, type Rational, toNumber } from "./rational.ts";

/**
 * What words name a hand, in the languages that harp music is printed in. `m.d.` is the right hand in French, Italian
 * and Spanish; the left is `m.g.`, `m.s.` and `m.i.`. Source: common practice, no source; for `m.d.` and `m.g.` as the
 * pair that composers are told to use, handbooks of notation.
 */
const right =
  /^(r\.? ?h\.?|m\.? ?d\.?|d\.|right( hand)?|rechte hand|rechts|rechterhand|main droite|mano de?stra|mano derecha|destra|llaw dde|l[aá]mh dheas)$/;
const left =
  /^(l\.? ?h\.?|m\.? ?[gsi]\.?|[gs]\.|left( hand)?|linke hand|links|linkerhand|main gauche|mano sinistra|mano izquierda|sinistra|llaw chwith|l[aá]mh chl[eé])$/;

/** The hand that words name; undefined when they say something else. */
export function handNamed(text: string): HandName | undefined {
  const plain = text
    .toLowerCase()
    .replace(/\s+/g, " ")
    .replace(/^[([ ]+|[)\]:, ]+$/g, "");
  if (right.test(plain)) return "right";
  return left.test(plain) ? "left" : undefined;
}

/** A stretch of notes that words give to a hand. */
export interface HandMark {
  readonly words: Words;
  readonly hand: HandName;
  readonly notes: readonly Note[];
}

/**
 * The notes that words such as `l.h.` give to a hand: those of the voice that the words stand at, on their staff, up
 * to the next such words on the staff, or a rest of the voice.
 */
export function handMarks(part: Part, measureStarts: readonly Rational[]): HandMark[] {
  const words = part.words.flatMap((said): SaidWords[] => {
    const hand = handNamed(said.text);
    return hand ? [{ words: said, hand, at: onsetOf(said, measureStarts) }] : [];
  });
  if (words.length === 0) return [];
  const staves = new Map<number, { said: SaidWords[]; notes: PlacedNote[] }>();
  for (const said of words) {
    const staff = staves.get(said.words.staff);
    if (staff) staff.said.push(said);
    else staves.set(said.words.staff, { said: [said], notes: [] });
  }
  for (const note of part.notes)
    staves.get(note.staff)?.notes.push({ note, at: onsetOf(note, measureStarts) });
  return [...staves.values()].flatMap(({ said, notes }) => {
    said.sort((a, b) => compare(a.at, b.at));
    notes.sort((a, b) => compare(a.at, b.at) || a.note.index - b.note.index);
    return marksOnStaff(said, notes);
  });
}

interface SaidWords {
  readonly words: Words;
  readonly hand: HandName;
  readonly at: Rational;
}

interface PlacedNote {
  readonly note: Note;
  readonly at: Rational;
}

function onsetOf(place: Pick<Note, "measure" | "position">, measureStarts: readonly Rational[]): Rational {
  return add(measureStarts[place.measure.index]!, place.position);
}

/** Both in order of time. */
function marksOnStaff(said: readonly SaidWords[], notes: readonly PlacedNote[]): HandMark[] {
  const marks: HandMark[] = [];
  let first = 0;
  for (let i = 0; i < said.length; ) {
    // Words at one instant speak of different voices, or say the same twice.
    let next = i;
    const together = new Map<HandName, SaidWords>();
    while (next < said.length && compare(said[next]!.at, said[i]!.at) === 0) {
      together.set(said[next]!.hand, said[next]!);
      next += 1;
    }
    while (first < notes.length && compare(notes[first]!.at, said[i]!.at) < 0) first += 1;
    for (const { words, hand } of together.values()) {
      const taken = notesOfVoice(voiceOf(words, notes, first), notes, first, said[next]?.at);
      if (taken.length > 0) marks.push({ words, hand, notes: taken });
    }
    i = next;
  }
  return marks;
}

/** A voice's notes from a place on, up to a rest of it or to `until`. */
function notesOfVoice(
  voice: string | undefined,
  notes: readonly PlacedNote[],
  first: number,
  until: Rational | undefined,
): Note[] {
  const taken: Note[] = [];
  let end: Rational | undefined;
  for (let i = first; i < notes.length; i += 1) {
    const { note, at } = notes[i]!;
    if (until && compare(at, until) >= 0) break;
    if (note.voice !== voice) continue;
    if (end && toNumber(at) - toNumber(end) > tolerance) break;
    taken.push(note);
    end = larger(end ?? at, add(at, note.duration));
  }
  return taken;
}

/** Rounded lengths leave gaps that are no rests. In quarter notes. */
const tolerance = 1 / 16;

/** The voice that words speak of: their own if it plays there, else the outer one on the side where they stand. */
function voiceOf(words: Words, notes: readonly PlacedNote[], first: number): string | undefined {
  const start = notes[first];
  if (!start) return undefined;
  const here: Note[] = [];
  for (let i = first; i < notes.length && compare(notes[i]!.at, start.at) === 0; i += 1) {
    here.push(notes[i]!.note);
  }
  if (here.some((note) => note.voice === words.voice)) return words.voice;
  here.sort((a, b) => a.string - b.string);
  return (words.placement === "below" ? here[0] : here[here.length - 1])?.voice;
}
