import { separateLook } from "../fingering/handTable.ts";
import type { Direction, Finger, HandName, Joint, Placing, Solution } from "../fingering/model.ts";
import type { Weights } from "../fingering/weights.ts";
import { notePrinted } from "../fingering/write.ts";
import type { WrittenHand } from "../fingering/written.ts";
import { midiPitch } from "../harp/tunings.ts";
import type { PanelIds } from "./panelIds.ts";
import { placeOf } from "./places.ts";

/** What one hand does through the piece. Times are microseconds of the music as written, at its marked tempo. */
export interface PanelHand {
  readonly hand: HandName;
  readonly events: readonly PanelEvent[];
  readonly placings: readonly PanelPlacing[];
  /** In the order in which the fingers are set. */
  readonly stays: readonly FingerStay[];
  /** In order of time. */
  readonly looks: readonly Look[];
}

/** Notes that a hand plucks at one instant. */
export interface PanelEvent {
  readonly atMicros: number;
  readonly bar: string;
  /** In quarter notes from 1. */
  readonly beat: string;
  /** Index of the measure. */
  readonly measure: number;
  /** Lowest first. */
  readonly notes: readonly PluckedString[];
}

export interface PluckedString {
  readonly note: string;
  readonly string: number;
  /** MIDI pitch, 60 = middle C; fractions are microtones. */
  readonly midi: number;
  readonly finger: Finger | undefined;
}

/** A placing of the fingering that keeps what is printed and finds the rest. */
export interface PanelPlacing {
  /** Inclusive range of events. */
  readonly first: number;
  readonly last: number;
  readonly direction: Direction;
  readonly joint: Joint;
}

/** A finger on its way to a string, standing on it, and plucking it. */
export interface FingerStay {
  readonly string: number;
  readonly finger: Finger;
  readonly note: string;
  /** Index of the placing that it belongs to. */
  readonly placing: number;
  /** From here on the finger is about to be placed. */
  readonly comingMicros: number;
  /** It stands on the string. */
  readonly setMicros: number;
  readonly playedMicros: number;
}

/** The eyes are needed: a hand comes off and lands elsewhere, or crosses over a skipped string. */
export interface Look {
  readonly placing: number;
  readonly fromMicros: number;
  /** When the hand lands. */
  readonly toMicros: number;
  /** The strings that it lands on. */
  readonly lowest: number;
  readonly highest: number;
  /** The other hand needs the eyes elsewhere at the same time. */
  readonly clash: boolean;
}

/**
 * How long before it plays a hand that came off stands on its next strings, at most: replacing is just in time, not
 * early. Source: samanthaballardharp.com, pages on placing and buzz; the figure is an estimate, from memory.
 */
const landingMicros = 250_000;

/** What a hand does. @param solution of this hand. */
export function panelHand(hand: WrittenHand, solution: Solution, ids: PanelIds, weights: Weights): PanelHand {
  const { events } = hand.line;
  const { placings } = solution;
  return {
    hand: hand.hand,
    events: events.map((event, i) => ({
      atMicros: event.atMicros,
      ...placeOf(hand, i),
      measure: event.notes[0]!.note.measure.index,
      notes: event.notes.map((entry, j) => ({
        note: ids.note(notePrinted(entry)),
        string: entry.string,
        midi: midiPitch({ string: entry.string, alter: entry.note.pitch.alter }),
        finger: solution.fingers[i]?.[j],
      })),
    })),
    placings: placings.map(({ first, last, direction, joint }) => ({ first, last, direction, joint })),
    stays: placings.flatMap((_, i) => staysOf(hand, placings, i, ids)),
    looks: placings.flatMap((placing, i) => lookOf(hand, placing, i, weights) ?? []),
  };
}

function staysOf(
  hand: WrittenHand,
  placings: readonly Placing[],
  index: number,
  ids: PanelIds,
): FingerStay[] {
  const placing = placings[index]!;
  const { comingMicros, setMicros } = setting(hand, placings, index);
  // A pivot stands already, with the same finger.
  const from = placing.joint === "overlap" ? 1 : 0;
  return placing.fingers.slice(from).flatMap((row, k) => {
    const event = hand.line.events[placing.first + from + k]!;
    return row.flatMap((finger, j) =>
      finger === undefined
        ? []
        : [
            {
              string: event.notes[j]!.string,
              finger,
              note: ids.note(notePrinted(event.notes[j]!)),
              placing: index,
              comingMicros: Math.min(comingMicros, event.atMicros),
              setMicros: Math.min(setMicros, event.atMicros),
              playedMicros: event.atMicros,
            },
          ],
    );
  });
}

/**
 * When the fingers of a placing set out and when they stand. Connected placings stand before the last note of the one
 * before is played; otherwise the hand comes off with that note and lands just in time.
 */
function setting(
  hand: WrittenHand,
  placings: readonly Placing[],
  index: number,
): { comingMicros: number; setMicros: number } {
  const { events } = hand.line;
  const placing = placings[index]!;
  const before = placings[index - 1];
  const at = events[placing.first]!.atMicros;
  if (!before) return { comingMicros: Number.MIN_SAFE_INTEGER, setMicros: Number.MIN_SAFE_INTEGER };
  const left = events[before.last]!.atMicros;
  if (placing.joint === "separate")
    return { comingMicros: left, setMicros: at - Math.min(landingMicros, (at - left) / 2) };
  const earlier = events[before.last - 1]?.atMicros ?? left;
  return { comingMicros: earlier, setMicros: (earlier + left) / 2 };
}

function lookOf(hand: WrittenHand, placing: Placing, index: number, weights: Weights): Look | undefined {
  const { events } = hand.line;
  const before = events[placing.first - 1];
  if (!before || placing.joint === "start" || placing.joint === "overlap") return undefined;
  const from = before.notes.map(({ string }) => string);
  const to = events[placing.first]!.notes.map(({ string }) => string);
  const weight =
    placing.joint === "separate"
      ? separateLook(from, to, weights)
      : Math.abs(to[0]! - from[0]!) > 1
        ? weights.glance.crossingOverSkip
        : 0;
  if (weight === 0) return undefined;
  const landing = events[placing.first]!.atMicros;
  const strings = events
    .slice(placing.first, placing.last + 1)
    .flatMap(({ notes }) => notes.map(({ string }) => string));
  return {
    placing: index,
    fromMicros: Math.max(before.atMicros, landing - weights.glance.lookMicros),
    toMicros: landing,
    lowest: Math.min(...strings),
    highest: Math.max(...strings),
    clash: placing.jointTerms.some(({ name }) => name === "glance"),
  };
}
