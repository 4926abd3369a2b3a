import type { EventNote, HandLine } from "../score/handLines.ts";
import type { HandName } from "../score/hands.ts";
import type { Score } from "../score/model.ts";
import { playedOrder } from "../score/playedOrder.ts";
import { add, type Rational, zero } from "../score/rational.ts";
import type { Timeline } from "../score/timeline.ts";

/** One plucking of an event, as the piece is played with its repeats. */
export interface PlayedEvent {
  readonly hand: HandName;
  /** Its place in the hand's line. */
  readonly event: number;
  /** From the start of the playing, in microseconds. */
  readonly atMicros: number;
}

/** One plucking of a note. */
export interface PlayedNote extends PlayedEvent {
  readonly stringAt: number;
  readonly entry: EventNote;
  /** When its written length is over. */
  readonly untilMicros: number;
}

/** All events in the order in which they are played; at equal times the right hand's first. */
export function playedEvents(score: Score, lines: readonly HandLine[], timeline: Timeline): PlayedEvent[] {
  const ofMeasure = lines.map((line) => eventsByMeasure(line, score.measureStarts.length));
  const played: PlayedEvent[] = [];
  for (const { measure, laterMicros } of playedMeasures(score, timeline)) {
    lines.forEach(({ hand, events }, i) => {
      for (const event of ofMeasure[i]![measure]!) {
        played.push({ hand, event, atMicros: events[event]!.atMicros + laterMicros });
      }
    });
  }
  return played.sort((a, b) => a.atMicros - b.atMicros || rank(a.hand) - rank(b.hand) || a.event - b.event);
}

/** The measures in the order in which they are played, and how much later than in print, in microseconds. */
export function playedMeasures(
  score: Score,
  timeline: Timeline,
): { readonly measure: number; readonly laterMicros: number }[] {
  const starts = score.measureStarts.map((start) => timeline.micros(start));
  const end = timeline.micros(endOf(score));
  let now = 0;
  return playedOrder(score).measures.map((measure) => {
    const start = starts[measure]!;
    const laterMicros = now - start;
    now += (starts[measure + 1] ?? end) - start;
    return { measure, laterMicros };
  });
}

/** All notes of some played events. */
export function playedNotes(
  played: readonly PlayedEvent[],
  lines: readonly HandLine[],
  timeline: Timeline,
): PlayedNote[] {
  return played.flatMap((one) => {
    const { notes, onset, atMicros } = lines.find(({ hand }) => hand === one.hand)!.events[one.event]!;
    return notes.map((entry, stringAt) => {
      const length = timeline.micros(add(onset, entry.note.duration)) - atMicros;
      return { ...one, stringAt, entry, untilMicros: one.atMicros + Math.max(0, length) };
    });
  });
}

const rank = (hand: HandName): number => (hand === "right" ? 0 : 1);

function eventsByMeasure({ events }: HandLine, measures: number): number[][] {
  const found: number[][] = Array.from({ length: measures }, () => []);
  events.forEach(({ notes }, i) => {
    found[notes[0]!.note.measure.index]?.push(i);
  });
  return found;
}

function endOf({ measureStarts, parts }: Score): Rational {
  const last = measureStarts.length - 1;
  if (last < 0) return zero;
  return add(measureStarts[last]!, parts[0]?.measures[last]?.length ?? zero);
}
