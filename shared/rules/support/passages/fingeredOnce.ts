import type { WrittenHand } from "../../../fingering/written.ts";
import { compareOccurrences } from "../../../passages/compareOccurrences.ts";
import type { PassageClass } from "../../../passages/model.ts";
import { passagesOfHands } from "../../../passages/passagesOfHands.ts";
import type { Edit } from "../../../text/edits.ts";
import type { RuleInput } from "../../define.ts";
import { copyEdits, copyOf } from "./copiedPrint.ts";
import { type PrintedPlace, printedPlaces } from "./printedPlaces.ts";

/** A passage that is fingered in one place and bare in others. */
export interface FingeredOnce {
  readonly passage: PassageClass;
  readonly fingered: PrintedPlace;
  /** In order of time. */
  readonly bare: readonly PrintedPlace[];
  readonly notes: number;
}

/** A place is fingered when so many of its notes are, and this part of them. Shorter figures are not worth a word. */
const fewestFingers = 6;
const leastShareFingered = 0.5;

/**
 * The exact returns that have no fingers although the passage has them elsewhere, longest first; a place that is told
 * about in a longer one is left out. An editor who fingers everything but the returns means it so: then none is told.
 */
export function passagesFingeredOnce(input: RuleInput): FingeredOnce[] {
  const { classes } = passagesOfHands(input.hands, input.score);
  const found = classes
    .filter(({ kind }) => kind === "exact")
    .flatMap((passage) => fingeredOnce(passage, printedPlaces(input, passage)) ?? [])
    .sort((a, b) => b.notes - a.notes);
  const meant = new Set(input.hands.filter((hand) => leavesReturnsBare(hand, found)));
  const told = new Map<WrittenHand, Set<number>>();
  return found.flatMap((one) => {
    const { hand } = one.fingered;
    if (meant.has(hand)) return [];
    const events = told.get(hand) ?? new Set<number>();
    told.set(hand, events);
    const bare = one.bare.filter(({ occurrence }) => !isMostlyIn(events, occurrence));
    for (const { occurrence } of bare) {
      for (let event = occurrence.first; event <= occurrence.last; event += 1) events.add(event);
    }
    return bare.length > 0 ? [{ ...one, bare }] : [];
  });
}

function fingeredOnce(passage: PassageClass, places: readonly PrintedPlace[]): FingeredOnce | undefined {
  const bare = places.filter(isBare);
  if (bare.length === 0) return undefined;
  const [fullest] = places
    .map((place) => ({ place, digits: digitsOf(place) }))
    .sort((a, b) => b.digits - a.digits || a.place.index - b.place.index);
  const { place, digits } = fullest!;
  const { first, last } = place.occurrence;
  const notes = place.hand.line.events.slice(first, last + 1).flatMap((event) => event.notes).length;
  if (digits < fewestFingers || digits < leastShareFingered * notes) return undefined;
  return { passage, fingered: place, bare, notes };
}

function digitsOf({ hand, occurrence: { first, last } }: PrintedPlace): number {
  return hand.fingers.slice(first, last + 1).flatMap((row) => row.filter((finger) => finger !== undefined))
    .length;
}

/** Nearly every place shows at its first events that it is not. */
function isBare({ hand, occurrence: { first, last } }: PrintedPlace): boolean {
  for (let event = first; event <= last; event += 1) {
    for (const { note, doubles } of hand.line.events[event]!.notes) {
      if (note.fingerings.length > 0 || doubles.some(({ fingerings }) => fingerings.length > 0)) return false;
    }
  }
  return !hand.placings.some((placing) => placing.first <= last && placing.last >= first);
}

function isMostlyIn(events: ReadonlySet<number>, { first, last }: { first: number; last: number }): boolean {
  let known = 0;
  for (let event = first; event <= last; event += 1) if (events.has(event)) known += 1;
  return known * 2 > last - first + 1;
}

/**
 * True when the music of a hand goes on with fingers after its returns, and no return has any: a house style in which
 * a passage is fingered the first time only. One return alone may have been forgotten.
 */
function leavesReturnsBare(hand: WrittenHand, found: readonly FingeredOnce[]): boolean {
  const own = found.filter(({ fingered }) => fingered.hand === hand);
  const bare = new Set<number>();
  for (const { bare: places } of own) {
    for (const { occurrence } of places) {
      for (let event = occurrence.first; event <= occurrence.last; event += 1) bare.add(event);
    }
  }
  const returns = own.reduce((sum, { bare: places }) => sum + places.length, 0);
  const firstBare = Math.min(...bare);
  const lastFingered = hand.fingers.findLastIndex((row) => row.some((finger) => finger !== undefined));
  const othersBare = hand.fingers.some(
    (row, event) => event > firstBare && !bare.has(event) && row.every((finger) => finger === undefined),
  );
  return returns > 1 && lastFingered > firstBare && !othersBare;
}

/** The edits that print a passage's fingers and brackets in its bare places. */
export function copyToBare(input: RuleInput, { passage, fingered, bare }: FingeredOnce): Edit[] {
  return bare.flatMap((place) => {
    const differences = compareOccurrences(input.hands, passage, fingered.index, place.index);
    return copyEdits(input, place.hand, copyOf(passage, fingered, place, differences));
  });
}
