import type { WrittenHand } from "../fingering/written.ts";
import { defineRule, type RuleInput } from "./define.ts";
import { eventName, placeOfNote } from "./support/places.ts";
import { type PrintedPlacing, printedPlacings } from "./support/printedPlacings.ts";
import { bothHands, isForTwoHarps, isOutOfTime, type PlayedEvent, playedTogether } from "./support/timing.ts";
import { isUnclearlyGiven } from "./support/unclearMarks.ts";

/** The left hand's strings on both sides of one of the right hand's lie within this: an octave. */
const octave = 7;

/** Words that say how hands cross. */
const crossingWords =
  /\b(over|under|above|below|cross\w*|sopra|sotto(?! voce)|dessus|dessous|crois\w*|über|unter|encima|debajo)\b/i;

export const interlockedHands = defineRule({
  id: "interlocked-hands",
  severity: "warning",
  summary: "The right hand stands between strings of the left, with its thumb the lower.",
  why: "The hands come from two sides and get in each other's way when the right hand works inside the left. One hand may take the lower notes and the other the upper ones.",
  bad: "R: F4/4 // L: C4/4+E4+G4+C5",
  good: "R: C5/4 // L: C4/4+E4+G4",
  fixes: [],
  check(input, report) {
    const both = bothHands(input);
    if (!both || isForTwoHarps(input.harp)) return;
    for (const stretch of stretchesOf(input, both.right, both.left)) {
      const { right, left } = stretch[0]!;
      if (isMarked(input, stretch)) continue;
      const more =
        stretch.length > 1
          ? ` So are they at the next ${stretch.length - 1 === 1 ? "place" : `${stretch.length - 1} places`}.`
          : "";
      report({
        span: placeOfNote(both.right.line.events[right]!.notes[0]!),
        message: `The right hand plays ${eventName(both.right, right)} inside the left hand's ${eventNames(both.left, left)}: the hands are interlocked, with the right thumb the lower.${more}`,
        at: { hand: both.right, event: right },
        over: { first: right, last: stretch[stretch.length - 1]!.right },
        related: [
          {
            span: placeOfNote(both.left.line.events[left.first]!.notes[0]!),
            message: "The left hand stands here.",
          },
        ],
      });
    }
  },
});

/** Events, both ends included, that a hand stands on at once. */
interface Standing {
  readonly first: number;
  readonly last: number;
}

interface Meeting {
  readonly right: number;
  readonly left: Standing;
}

/** The places, one after the other, where the hands are interlocked. */
function stretchesOf(input: RuleInput, right: WrittenHand, left: WrittenHand): Meeting[][] {
  const stretches: Meeting[][] = [];
  const standing = { right: new Placed(input, right), left: new Placed(input, left) };
  let going: Meeting[] | undefined;
  for (const together of instants(playedTogether(right, left))) {
    const at = together[0]!.at.atMicros;
    const here = standing.right.at(together, at);
    const there = standing.left.at(together, at);
    if (!here || !there) continue;
    if (isUnclearlyGiven(input, right, here.first) || isUnclearlyGiven(input, left, there.first)) continue;
    if (isInterlocked(stringsOf(right, here), stringsOf(left, there), right, left, here, there)) {
      if (!going) {
        going = [];
        stretches.push(going);
      }
      going.push({ right: here.first, left: there });
    } else {
      going = undefined;
    }
  }
  return stretches;
}

function* instants(played: readonly PlayedEvent[]): Generator<readonly PlayedEvent[]> {
  for (let from = 0; from < played.length; ) {
    let to = from + 1;
    while (to < played.length && played[to]!.at.atMicros === played[from]!.at.atMicros) to += 1;
    yield played.slice(from, to);
    from = to;
  }
}

/** What a hand stands on as the music goes: the event that it plays, and what its bracket still holds. */
class Placed {
  readonly #hand: WrittenHand;
  readonly #brackets: readonly PrintedPlacing[];
  #next = 0;

  constructor(input: RuleInput, hand: WrittenHand) {
    this.#hand = hand;
    this.#brackets = printedPlacings(input, hand);
  }

  /** Asked in the order of time. */
  at(together: readonly PlayedEvent[], micros: number): Standing | undefined {
    const { events } = this.#hand.line;
    while (
      this.#next < this.#brackets.length &&
      events[this.#brackets[this.#next]!.last]!.atMicros < micros
    ) {
      this.#next += 1;
    }
    const played = together.find(({ hand }) => hand === this.#hand)?.event;
    const placing = this.#brackets[this.#next];
    if (placing && events[placing.first]!.atMicros <= micros) {
      let first = played ?? placing.first;
      while (first < placing.last && events[first]!.atMicros < micros) first += 1;
      if (first >= placing.first && first <= placing.last) return { first, last: placing.last };
    }
    return played === undefined ? undefined : { first: played, last: played };
  }
}

function stringsOf(hand: WrittenHand, { first, last }: Standing): number[] {
  return hand.line.events.slice(first, last + 1).flatMap(({ notes }) => notes.map(({ string }) => string));
}

function isInterlocked(
  right: readonly number[],
  left: readonly number[],
  rightHand: WrittenHand,
  leftHand: WrittenHand,
  here: Standing,
  there: Standing,
): boolean {
  const third = 2;
  if (Math.max(...right) >= Math.max(...left) - third) return false;
  if (isOutOfTime(rightHand, here.first) || isOutOfTime(leftHand, there.first)) return false;
  return right.some((string) => {
    const below = Math.max(...left.filter((other) => other < string));
    const above = Math.min(...left.filter((other) => other > string));
    return above - below <= octave;
  });
}

/** Words near the place say that the hands are to cross. */
function isMarked({ harp, hands }: RuleInput, stretch: readonly Meeting[]): boolean {
  const right = hands.find(({ hand }) => hand === "right")!;
  const measures = [stretch[0]!, stretch[stretch.length - 1]!].map(
    (meeting) => right.line.events[meeting.right]!.notes[0]!.note.measure.index,
  );
  return harp.parts.some((part) =>
    part.words.some(
      ({ text, measure }) =>
        measure.index >= measures[0]! - 1 && measure.index <= measures[1]! && crossingWords.test(text),
    ),
  );
}

function eventNames(hand: WrittenHand, { first, last }: Standing): string {
  return Array.from({ length: last - first + 1 }, (_, i) => eventName(hand, first + i)).join(" ");
}
