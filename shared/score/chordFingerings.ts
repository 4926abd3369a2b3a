import type { WrittenFingering } from "./model.ts";
import type { NoteInProgress } from "./readNote.ts";

/**
 * Some programs write all fingers of a chord on its first note. Here each note of the chord gets its own: the highest
 * the first of them, as they are printed from top to bottom, unless only the other way round the thumb is on top.
 *
 * @param notes of a part, in the order of the document.
 * @returns sentences on what was shared out.
 * Source: W3C Music Notation Community Group, MusicXML discussions on several fingerings of one note.
 */
export function shareChordFingerings(notes: readonly NoteInProgress[]): string[] {
  const measures = new Set<string>();
  for (let first = 0; first < notes.length; ) {
    let end = first + 1;
    while (notes[end]?.chord) end += 1;
    if (end - first > 1 && shareOut(notes.slice(first, end))) measures.add(notes[first]!.measure.number);
    first = end;
  }
  return measures.size === 0
    ? []
    : [
        `Chords with all their fingers on one note have them shared out, the thumb on top (measures ${listed(measures)}).`,
      ];
}

function shareOut(chord: readonly NoteInProgress[]): boolean {
  const fingered = chord.filter((note) => note.fingerings.length > 0);
  const [holder, second] = fingered;
  if (!holder || second) return false;
  const fingers = holder.fingerings.flatMap(splitLines);
  if (fingers.length < 2 || fingers.length > chord.length) return false;
  if (
    fingers.some(({ number, substitution, alternate }) => number === undefined || substitution || alternate)
  ) {
    return false;
  }
  const falling = fingers.every((finger, i) => i === 0 || finger.number! < fingers[i - 1]!.number!);
  const fromTop = [...chord].sort((a, b) => b.string - a.string || b.index - a.index);
  const order = falling ? fromTop.slice(0, fingers.length).reverse() : fromTop;
  holder.fingerings = [];
  fingers.forEach((finger, i) => {
    const note = order[i]!;
    note.fingerings = [note === holder ? finger : { ...finger, writtenOn: holder }];
  });
  return true;
}

/** `3` over `1` in one element, on two lines. */
function splitLines(fingering: WrittenFingering): WrittenFingering[] {
  const lines = fingering.text.split("\n").map((line) => line.trim());
  if (lines.length < 2 || !lines.every((line) => /^\d$/.test(line))) return [fingering];
  return lines.map((line) => ({ ...fingering, text: line, number: Number(line) }));
}

/** Measure numbers for a sentence, not more than a few. */
export function listed(measures: ReadonlySet<string>, most = 8): string {
  const all = [...measures];
  return all.length <= most
    ? all.join(", ")
    : `${all.slice(0, most).join(", ")} and ${all.length - most} more`;
}
