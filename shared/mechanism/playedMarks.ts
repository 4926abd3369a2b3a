import type { HandLine, LineEvent } from "../score/handLines.ts";
import { type MechanismMark, mechanismMarks } from "../score/mechanismMarks.ts";
import type { Part, Score } from "../score/model.ts";
import { add } from "../score/rational.ts";
import type { Timeline } from "../score/timeline.ts";
import { playedMeasures } from "./playedNotes.ts";

/** One passing of a mark, as the piece is played with its repeats. */
export interface PlayedMark {
  readonly mark: MechanismMark;
  /** From the start of the playing, in microseconds. */
  readonly atMicros: number;
}

/**
 * The marks of pedals and levers in the order in which they are passed. One that stands before a grace note is there in
 * time for it.
 */
export function playedMarks(
  score: Score,
  parts: readonly Part[],
  lines: readonly HandLine[],
  timeline: Timeline,
): PlayedMark[] {
  const ofMeasure: PlayedMark[][] = [];
  const graces = gracesByOnset(lines);
  for (const mark of parts.flatMap(mechanismMarks)) {
    const { index } = mark.measure;
    const onset = add(score.measureStarts[index]!, mark.position);
    let atMicros = timeline.micros(onset);
    for (const grace of graces.get(`${onset.n}/${onset.d}`) ?? []) {
      const isAfter = grace.notes[0]!.note.site.span.start > mark.span.start;
      if (isAfter) atMicros = Math.min(atMicros, grace.atMicros);
    }
    ofMeasure[index] ??= [];
    ofMeasure[index].push({ mark, atMicros });
  }
  if (ofMeasure.length === 0) return [];
  return playedMeasures(score, timeline)
    .flatMap(({ measure, laterMicros }) =>
      (ofMeasure[measure] ?? []).map(({ mark, atMicros }) => ({ mark, atMicros: atMicros + laterMicros })),
    )
    .sort((a, b) => a.atMicros - b.atMicros);
}

/** Graces have the onset of their note and sound before it. */
function gracesByOnset(lines: readonly HandLine[]): Map<string, LineEvent[]> {
  const found = new Map<string, LineEvent[]>();
  for (const event of lines.flatMap(({ events }) => events)) {
    if (!event.grace) continue;
    const key = `${event.onset.n}/${event.onset.d}`;
    found.set(key, [...(found.get(key) ?? []), event]);
  }
  return found;
}
