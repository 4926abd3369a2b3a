import type { WrittenHand } from "../fingering/written.ts";
import { defineRule, type RuleInput } from "./define.ts";
import { eventName, placeOfNote } from "./support/places.ts";
import { type PrintedPlacing, printedPlacings } from "./support/printedPlacings.ts";
import { bothHands, isForTwoHarps, isOutOfTime, playedTogether } from "./support/timing.ts";
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
  let before: number | undefined;
  for (const { at } of playedTogether(right, left)) {
    const micros = at.atMicros;
    if (micros === before) continue;
    before = micros;
    const here = standing.right.at(micros);
    const there = standing.left.at(micros);
    if (!here || !there) continue;
    if (isUnclearlyGiven(input, right, here.first) || isUnclearlyGiven(input, left, there.first)) continue;
    if (isInterlocked(right, left, here, there)) {
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

/** What a hand stands on as the music goes: the event that it plays, and what its bracket still holds. */
class Placed {
  readonly #hand: WrittenHand;
  readonly #brackets: readonly PrintedPlacing[];
  #event = 0;
  #bracket = 0;

  constructor(input: RuleInput, hand: WrittenHand) {
    this.#hand = hand;
    this.#brackets = printedPlacings(input, hand);
  }

  /** Asked in the order of time. */
  at(micros: number): Standing | undefined {
    const { events } = this.#hand.line;
    while (this.#event < events.length && events[this.#event]!.atMicros < micros) this.#event += 1;
    const played = events[this.#event]?.atMicros === micros ? this.#event : undefined;
    while (
      this.#bracket < this.#brackets.length &&
      events[this.#brackets[this.#bracket]!.last]!.atMicros < micros
    ) {
      this.#bracket += 1;
    }
    const placing = this.#brackets[this.#bracket];
    if (placing && events[placing.first]!.atMicros <= micros) {
      let first = played ?? placing.first;
      while (first < placing.last && events[first]!.atMicros < micros) first += 1;
      if (first >= placing.first && first <= placing.last) return { first, last: placing.last };
    }
    return played === undefined ? undefined : { first: played, last: played };
  }
}

function highestOf({ line }: WrittenHand, { first, last }: Standing): number {
  let highest = Number.NEGATIVE_INFINITY;
  for (let event = first; event <= last; event += 1) {
    const { notes } = line.events[event]!;
    highest = Math.max(highest, notes[notes.length - 1]!.string);
  }
  return highest;
}

function stringsOf(hand: WrittenHand, { first, last }: Standing): number[] {
  return hand.line.events.slice(first, last + 1).flatMap(({ notes }) => notes.map(({ string }) => string));
}

function isInterlocked(right: WrittenHand, left: WrittenHand, here: Standing, there: Standing): boolean {
  const third = 2;
  if (highestOf(right, here) >= highestOf(left, there) - third) return false;
  if (isOutOfTime(right, here.first) || isOutOfTime(left, there.first)) return false;
  const others = stringsOf(left, there);
  return stringsOf(right, here).some((string) => {
    const below = Math.max(...others.filter((other) => other < string));
    const above = Math.min(...others.filter((other) => other > string));
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
