import type { WrittenHand } from "../../fingering/written.ts";
import type { LineEvent } from "../../score/handLines.ts";
import type { HarpChoice } from "../../score/hands.ts";
import { firstWhere } from "../../text/firstWhere.ts";
import type { RuleInput } from "../define.ts";
import { soundsSpecial } from "./printedPlacings.ts";

/** True when the score or a person says how fast it goes. */
export function isTempoKnown({ score, tempo }: RuleInput): boolean {
  return score.tempos.length > 0 || tempo !== undefined;
}

/** `0.15 s`; says so where the tempo is assumed. */
export function secondsWords(input: RuleInput, micros: number): string {
  const seconds = `${Math.round(micros / 10_000) / 100} s`;
  return isTempoKnown(input) ? seconds : `${seconds} at the assumed tempo`;
}

/** `harps`, `2 harps`, `harp 1 and 2`, `harp I & II`: one part for two players. */
const severalHarps =
  /\b(harps|harpes|harfen|arpe|arpas|2 harps)\b|\b(harp|harpe|harfe|arpa)\b.*\b(1|i)\b.*\b(2|ii)\b/i;

/** True when the part names two players, so that its two staves need not be two hands of one. */
export function isForTwoHarps({ parts }: HarpChoice): boolean {
  return parts.some(({ name }) => severalHarps.test(name));
}

/** Both hands of a score, when both play. */
export function bothHands({ hands }: RuleInput): { right: WrittenHand; left: WrittenHand } | undefined {
  const right = hands.find(({ hand }) => hand === "right");
  const left = hands.find(({ hand }) => hand === "left");
  return right && left && { right, left };
}

/** An event of one of two hands. */
export interface PlayedEvent {
  readonly hand: WrittenHand;
  readonly event: number;
  readonly at: LineEvent;
}

/** The events of both hands as they sound; of those that sound together the right hand's first. Time O(n). */
export function playedTogether(right: WrittenHand, left: WrittenHand): PlayedEvent[] {
  const [a, b] = [right.line.events, left.line.events];
  const played: PlayedEvent[] = [];
  for (let i = 0, j = 0; i < a.length || j < b.length; ) {
    const rightFirst = j >= b.length || (i < a.length && a[i]!.atMicros <= b[j]!.atMicros);
    const [hand, event] = rightFirst ? [right, i++] : [left, j++];
    played.push({ hand, event, at: hand.line.events[event]! });
  }
  return played;
}

/** True when ordinary plucking at its written time is not what is asked: grace notes, trills, tremolos, harmonics. */
export function isOutOfTime(hand: WrittenHand, event: number): boolean {
  const here = hand.line.events[event]!;
  return here.grace || soundsSpecial(here);
}

/** The first event of a hand that sounds at a time or later; the number of events when none does. Time O(log n). */
export function eventFrom({ line }: WrittenHand, micros: number): number {
  const { events } = line;
  return firstWhere(events.length, (i) => events[i]!.atMicros >= micros);
}

/** True when a hand plucks nothing between two times, both included. Time O(log n). */
export function isSilentBetween(hand: WrittenHand, from: number, to: number): boolean {
  const next = hand.line.events[eventFrom(hand, from)];
  return next === undefined || next.atMicros > to;
}
