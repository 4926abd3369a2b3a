import { firstWhere } from "../text/firstWhere.ts";
import type { LineEvent } from "./handLines.ts";
import { type HandName, type HarpChoice, handOf } from "./hands.ts";
import type { NoteMarks, Score } from "./model.ts";
import { add, compare, type Rational } from "./rational.ts";

/**
 * The events before which the hand is free of the strings, whatever the notes would allow: it muffles in between, or
 * one of the two is a harmonic, a trill or a tremolo, which stands alone. Two notes that are played by turns are one
 * placing.
 * Common practice, no source; `damp` and `damp-all`: MusicXML 4.0, direction.mod.
 */
export function handFreeBefore(
  score: Score,
  harp: HarpChoice,
  hand: HandName,
  events: readonly LineEvent[],
): Set<number> {
  const free = new Set<number>();
  events.forEach((event, i) => {
    if (!standsAlone(event)) return;
    const byTurns = (type: NoteMarks["tremolo"]): boolean =>
      event.notes.some(({ note }) => note.marks.tremolo === type);
    if (!byTurns("stop")) free.add(i);
    if (!byTurns("start")) free.add(i + 1);
  });
  for (const after of mufflings(score, harp, hand)) {
    free.add(firstWhere(events.length, (i) => compare(events[i]!.onset, after) > 0));
  }
  free.delete(0);
  free.delete(events.length);
  return free;
}

function standsAlone({ notes }: LineEvent): boolean {
  return notes.some(({ note: { marks } }) => marks.harmonic || marks.trill || marks.tremolo !== undefined);
}

/** When this hand muffles, in quarter notes from the start of the piece. */
function mufflings(score: Score, harp: HarpChoice, hand: HandName): Rational[] {
  return harp.parts.flatMap((part) =>
    part.mufflings
      .filter(({ all, staff }) => all || handOf(harp, part, staff) === hand)
      .map(({ measure, position }) => add(score.measureStarts[measure.index]!, position)),
  );
}
