import type { Note, Part, ProbableFingering } from "../../score/model.ts";

/** Fewer digits in a part than this are likely something else: a verse, a count, a sign of the editor's. */
export const fewestTextFingers = 3;

const known = new WeakMap<Part, ReadonlySet<Note>>();

/**
 * The notes that have a finger in words or in a lyric and none in a fingering; none at all in a part that has so few
 * digits in its text that they are not taken for fingers.
 */
export function notesFingeredInText(part: Part): ReadonlySet<Note> {
  let notes = known.get(part);
  if (!notes) {
    const found = part.probableFingerings.filter(areFingers);
    const count = found.reduce((sum, { digits }) => sum + digits.length, 0);
    notes = new Set(count < fewestTextFingers ? [] : found.flatMap((one) => one.notes));
    known.set(part, notes);
  }
  return notes;
}

/** Digits from 1 to 4 of notes that have no other. */
export function areFingers({ digits, notes }: ProbableFingering): boolean {
  return (
    digits.every((digit) => digit >= 1 && digit <= 4) && notes.every((note) => note.fingerings.length === 0)
  );
}
