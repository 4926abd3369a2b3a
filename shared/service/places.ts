import type { WrittenHand } from "../fingering/written.ts";
import { pitchName } from "../score/pitch.ts";
import { add, format, rational } from "../score/rational.ts";

/** Where an event stands, as people count. */
export interface EventPlace {
  /** The measure's number as printed. */
  readonly bar: string;
  /** In quarter notes from 1: `1`, `5/2`. */
  readonly beat: string;
}

/** The bar and beat of an event. */
export function placeOf(hand: WrittenHand, event: number): EventPlace {
  const { note } = hand.line.events[event]!.notes[0]!;
  return { bar: note.measure.number, beat: format(add(note.position, rational(1))) };
}

/** `bar 3, beat 5/2`. */
export function placeName(hand: WrittenHand, event: number): string {
  const { bar, beat } = placeOf(hand, event);
  return `bar ${bar}, beat ${beat}`;
}

/** The names of an event's notes as written, lowest first. */
export function pitchNames(hand: WrittenHand, event: number): string[] {
  return hand.line.events[event]!.notes.map(({ note }) => pitchName(note.pitch));
}

/** `bar 7`, `bars 7 and 9`, `bars 2, 7 and 9`; how many bars when there are more than `most`. */
export function barList(hand: WrittenHand, events: readonly number[], most = 4): string {
  const bars = [...new Set(events.map((event) => placeOf(hand, event).bar))];
  if (bars.length > most) return `${bars.length} bars from bar ${bars[0]} on`;
  if (bars.length <= 1) return `bar ${bars[0] ?? ""}`;
  return `bars ${bars.slice(0, -1).join(", ")} and ${bars[bars.length - 1]}`;
}
