import type { WrittenHand } from "../../fingering/written.ts";
import type { PassageClass, Passages } from "../../passages/model.ts";
import { passagesOfHands } from "../../passages/passagesOfHands.ts";
import type { HandName } from "../../score/hands.ts";
import type { RuleInput } from "../define.ts";
import { disagreements } from "./passages/disagreements.ts";
import { eventsOf } from "./passages/regions.ts";

/** An event of a hand. */
export interface HandEvent {
  readonly hand: WrittenHand;
  readonly event: number;
}

/** An event as a part of a passage: alignment[occurrence][at]. */
interface Part {
  readonly passage: PassageClass;
  readonly occurrence: number;
  readonly at: number;
}

/** By hand and event. */
type Parts = ReadonlyMap<HandName, ReadonlyMap<number, readonly Part[]>>;

/** What comes back is the same for many readings, since the print does not count for it. */
const known = new WeakMap<Passages, Parts>();

/**
 * The events that stand for this one where its passage comes back, and have the same fingers in print: fingering one of
 * them otherwise would make the places differ.
 */
export function fingeredAlike(input: RuleInput, hand: WrittenHand, event: number): HandEvent[] {
  const found: HandEvent[] = [];
  const row = hand.fingers[event]!;
  for (const { passage, occurrence, at } of partsOf(input).get(hand.hand)?.get(event) ?? []) {
    passage.alignment.forEach((events, k) => {
      const there = events[at];
      if (k === occurrence || there === undefined) return;
      const other = input.hands.find((each) => each.hand === passage.occurrences[k]!.hand);
      if (other && isSameRow(row, other.fingers[there]!)) found.push({ hand: other, event: there });
    });
  }
  return found;
}

function isSameRow(a: WrittenHand["fingers"][number], b: WrittenHand["fingers"][number]): boolean {
  if (a.length !== b.length) return false;
  for (let i = 0; i < a.length; i += 1) if (a[i] !== b[i]) return false;
  return true;
}

/**
 * True when this event comes back elsewhere with the same fingers, and they are right there: what is learned once is
 * kept, and what would be easier here is no fault.
 *
 * @param wrong the events of the hand at which the same is amiss.
 */
export function isKeptAlike(
  input: RuleInput,
  hand: WrittenHand,
  event: number,
  wrong: ReadonlySet<number>,
): boolean {
  return fingeredAlike(input, hand, event).some((other) => other.hand !== hand || !wrong.has(other.event));
}

/** What is amiss at some events of a hand, without what is kept alike with another place. */
export function withoutKeptAlike<Found extends { readonly event: number }>(
  input: RuleInput,
  hand: WrittenHand,
  found: readonly Found[],
): Found[] {
  const wrong = new Set(found.map(({ event }) => event));
  return found.filter(({ event }) => !isKeptAlike(input, hand, event, wrong));
}

function partsOf({ hands, score }: RuleInput): Parts {
  const passages = passagesOfHands(hands, score);
  let parts = known.get(passages);
  if (!parts) {
    const found = new Map<HandName, Map<number, Part[]>>();
    for (const passage of passages.classes) {
      passage.alignment.forEach((events, occurrence) => {
        const { hand } = passage.occurrences[occurrence]!;
        const byEvent = found.get(hand) ?? new Map<number, Part[]>();
        found.set(hand, byEvent);
        events.forEach((event, at) => {
          if (event === undefined) return;
          const list = byEvent.get(event);
          if (list) list.push({ passage, occurrence, at });
          else byEvent.set(event, [{ passage, occurrence, at }]);
        });
      });
    }
    parts = found;
    known.set(passages, parts);
  }
  return parts;
}

/** The events that are fingered in two ways where their passage comes back on the same strings: `right 12`. */
export function disputedEvents(input: RuleInput): ReadonlySet<string> {
  const events = new Set<string>();
  for (const { exact, about, passage, likeHere, likeThere, regions } of disagreements(input)) {
    if (!exact || about !== "fingers") continue;
    for (const place of [...likeHere, ...likeThere]) {
      for (const region of regions) {
        for (const event of eventsOf(passage, place.index, region)) events.add(`${place.hand.hand} ${event}`);
      }
    }
  }
  return events;
}
