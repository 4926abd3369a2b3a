import { firstWhere } from "../text/firstWhere.ts";
import { listed } from "./chordFingerings.ts";
import type { Score } from "./model.ts";
import type { PartInProgress } from "./partReader.ts";
import { playedOrder } from "./playedOrder.ts";
import { toNumber } from "./rational.ts";
import type { NoteInProgress } from "./readNote.ts";

/** How far an end may lie from the onset that it is tied to: a 64th note, for rounded lengths. In quarter notes. */
const tolerance = 1 / 16 + 1e-9;
/** The notes of a written-out arpeggio are tied to its chord over the notes between them. In quarter notes. */
const longestGap = 8;

/** A note of a pitch that ties end on somewhere. In quarter notes from the start of the piece. */
interface Sounding {
  readonly onset: number;
  readonly end: number;
  readonly tied: boolean;
  /** Another note sounds on from it. */
  taken: boolean;
}

/**
 * Finds out which notes sound on from a tie. The tie may have begun in another voice or on another staff, some notes
 * earlier, or before a repeat or an ending that is jumped over. A tie that begins nowhere plucks its note, and that is
 * noted.
 */
export function settleTies(score: Score, parts: readonly PartInProgress[]): void {
  const starts = score.measureStarts.map(toNumber);
  let before: ReadonlyMap<number, readonly number[]> | undefined;
  for (const part of parts) {
    const stops = part.notes.filter((note) => note.tie.stop);
    if (stops.length === 0) continue;
    const sounding = soundingNotes(part, stops, starts);
    const onsetOf = (note: NoteInProgress): number => starts[note.measure.index]! + toNumber(note.position);
    const unsettled: NoteInProgress[] = [];
    for (const note of stops) {
      note.continues = takeEndingAt(sounding.get(semitones(note))!, onsetOf(note));
      if (!note.continues) unsettled.push(note);
    }
    const lost = new Set<string>();
    for (const note of unsettled) {
      note.continues = takeLastBefore(sounding.get(semitones(note))!, onsetOf(note));
      if (!note.continues && toNumber(note.position) <= tolerance) {
        before ??= playedBefore(score);
        const ends = (before.get(note.measure.index) ?? []).map((measure) => endOf(starts, measure));
        note.continues = ends.some((end) => takeEndingAt(sounding.get(semitones(note))!, end));
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

/** By sounding pitch, in semitones, the notes of the pitches that ties end on, in order of onset and in order of end. */
function soundingNotes(
  part: PartInProgress,
  stops: readonly NoteInProgress[],
  starts: readonly number[],
): Map<number, { readonly byOnset: readonly Sounding[]; readonly byEnd: readonly Sounding[] }> {
  const byPitch = new Map<number, Sounding[]>(stops.map((note) => [semitones(note), []]));
  for (const note of part.notes) {
    const same = byPitch.get(semitones(note));
    if (!same) continue;
    const measure = note.measure.index;
    const position = toNumber(note.position);
    const reached = position + toNumber(note.duration);
    // A measure may be longer in another part: what fills it here lasts to the barline.
    const toBarline = reached >= toNumber(note.measure.length) - tolerance;
    same.push({
      onset: starts[measure]! + position,
      end: toBarline ? endOf(starts, measure) : starts[measure]! + reached,
      tied: note.tie.start,
      taken: false,
    });
  }
  const sorted = new Map<number, { byOnset: Sounding[]; byEnd: Sounding[] }>();
  for (const [pitch, notes] of byPitch) {
    sorted.set(pitch, {
      byOnset: notes.sort((a, b) => a.onset - b.onset),
      byEnd: notes.filter(({ tied }) => tied).sort((a, b) => (a.end === b.end ? 0 : a.end - b.end)),
    });
  }
  return sorted;
}

function endOf(starts: readonly number[], measure: number): number {
  return starts[measure + 1] ?? Number.POSITIVE_INFINITY;
}

/** The tied note that ends at a time. */
function takeEndingAt({ byEnd }: { readonly byEnd: readonly Sounding[] }, time: number): boolean {
  const note = byEnd[firstWhere(byEnd.length, (i) => byEnd[i]!.end >= time - tolerance)];
  if (!note || note.end > time + tolerance) return false;
  note.taken = true;
  return true;
}

/** The last note of the pitch, when it is tied and nothing sounds on from it yet. */
function takeLastBefore({ byOnset }: { readonly byOnset: readonly Sounding[] }, time: number): boolean {
  const note = byOnset[firstWhere(byOnset.length, (i) => byOnset[i]!.onset >= time - tolerance) - 1];
  if (!note?.tied || note.taken || note.end < time - longestGap) return false;
  note.taken = true;
  return true;
}

const semitonesOf = { C: 0, D: 2, E: 4, F: 5, G: 7, A: 9, B: 11 };

/** Ties join enharmonic spellings of one pitch as well. */
function semitones({ pitch }: NoteInProgress): number {
  return 12 * pitch.octave + semitonesOf[pitch.letter] + pitch.alter;
}

/** For each measure that is jumped to, the measures that are played just before it. */
function playedBefore(score: Score): Map<number, readonly number[]> {
  const before = new Map<number, number[]>();
  for (const { from, to } of playedOrder(score).jumps) {
    const known = before.get(to);
    if (known) known.push(from);
    else before.set(to, [from]);
  }
  return before;
}
