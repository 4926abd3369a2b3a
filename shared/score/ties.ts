import { listed } from "./chordFingerings.ts";
import type { Score } from "./model.ts";
import type { PartInProgress } from "./partReader.ts";
import { playedOrder } from "./playedOrder.ts";
import { toNumber } from "./rational.ts";
import type { NoteInProgress } from "./readNote.ts";

/** How far an end may lie from the onset that it is tied to: a 64th note, for rounded lengths. In quarter notes. */
const tolerance = 1 / 16 + 1e-9;

/**
 * Finds out which notes sound on from a tie. The tie may have begun in another voice or on another staff, or before a
 * repeat or an ending that is jumped over. A tie that begins nowhere plucks its note, and that is noted.
 */
export function settleTies(score: Score, parts: readonly PartInProgress[]): void {
  const starts = score.measureStarts.map(toNumber);
  let before: ReadonlyMap<number, readonly number[]> | undefined;
  for (const part of parts) {
    const ties = tieStarts(part, starts);
    const lost = new Set<string>();
    for (const note of part.notes) {
      if (!note.tie.stop) continue;
      const measure = note.measure.index;
      const onset = starts[measure]! + toNumber(note.position);
      note.continues = endsAt(ties.get(semitones(note)), onset);
      if (!note.continues && toNumber(note.position) <= tolerance) {
        before ??= playedBefore(score);
        const ends = (before.get(measure) ?? []).map((other) => endOf(starts, other));
        note.continues = ends.some((end) => endsAt(ties.get(semitones(note)), end));
      }
      if (!note.continues) lost.add(note.measure.number);
    }
    if (lost.size > 0) {
      part.assumptions.push(
        `Ties that end on a note but begin nowhere are not followed: the note is plucked (measures ${listed(lost)}).`,
      );
    }
  }
}

/** By sounding pitch, in semitones, the ends of the notes that a tie begins on, in order. */
function tieStarts(part: PartInProgress, starts: readonly number[]): Map<number, number[]> {
  const ends = new Map<number, number[]>();
  for (const note of part.notes) {
    if (!note.tie.start) continue;
    const reached = toNumber(note.position) + toNumber(note.duration);
    // A measure may be longer in another part: what fills it here lasts to the barline.
    const toBarline = reached >= toNumber(note.measure.length) - tolerance;
    const end = toBarline ? endOf(starts, note.measure.index) : starts[note.measure.index]! + reached;
    const known = ends.get(semitones(note));
    if (known) known.push(end);
    else ends.set(semitones(note), [end]);
  }
  for (const list of ends.values()) list.sort((a, b) => a - b);
  return ends;
}

function endOf(starts: readonly number[], measure: number): number {
  return starts[measure + 1] ?? Number.POSITIVE_INFINITY;
}

function endsAt(ends: readonly number[] | undefined, quarters: number): boolean {
  if (!ends) return false;
  let low = 0;
  let high = ends.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (ends[middle]! < quarters - tolerance) low = middle + 1;
    else high = middle;
  }
  return low < ends.length && ends[low]! <= quarters + tolerance;
}

const semitonesOf = { C: 0, D: 2, E: 4, F: 5, G: 7, A: 9, B: 11 };

/** Ties join enharmonic spellings of one pitch as well. */
function semitones({ pitch }: NoteInProgress): number {
  return 12 * pitch.octave + semitonesOf[pitch.letter] + pitch.alter;
}

/** For each measure that is jumped to, the measures that are played just before it. */
function playedBefore(score: Score): Map<number, readonly number[]> {
  const before = new Map<number, number[]>();
  for (const { from, to } of playedOrder(score).jumps) before.set(to, [...(before.get(to) ?? []), from]);
  return before;
}
