import type { WrittenHand } from "../../../fingering/written.ts";
import type { Difference } from "../../../passages/compareOccurrences.ts";
import type { Span } from "../../../text/span.ts";
import type { FindingPlace, RelatedPlace } from "../../define.ts";
import { eventName, inWords, nameOf, numberWord, placeOfNote, startTagOf } from "../places.ts";
import type { EventRange } from "../solveAround.ts";
import type { Disagreement } from "./disagreements.ts";
import type { PrintedPlace } from "./printedPlaces.ts";

/** More places than these are counted, not named. */
const mostNamed = 6;

/** The measure's number as printed. */
export function barOf({ line }: WrittenHand, event: number): string {
  return line.events[event]!.notes[0]!.note.measure.number;
}

/** `bar 3`, `bars 3 to 6`. */
export function barsOf({ hand, occurrence }: PrintedPlace): string {
  const [first, last] = [barOf(hand, occurrence.first), barOf(hand, occurrence.last)];
  return first === last ? `bar ${first}` : `bars ${first} to ${last}`;
}

/** `bars 3 to 6 and bars 9 to 12`. */
export function allBarsOf(places: readonly PrintedPlace[]): string {
  const named = places.slice(0, mostNamed).map(barsOf);
  const more = places.length - named.length;
  return inWords(more > 0 ? [...named, `${more} more places`] : named);
}

/** What differs first, in words, both places named: `F#5 has 4 in bar 2 and 2 in bar 26`. */
export function firstDifference({ regions, here, there }: Disagreement): string {
  const differences = regions.flatMap((region) => region.differences);
  const difference = differences.find(({ kind }) => kind === "finger") ?? differences[0]!;
  return differenceWords(difference, here, there);
}

function differenceWords(difference: Difference, here: PrintedPlace, there: PrintedPlace): string {
  if (difference.kind === "finger") {
    const { event, stringAt } = difference.here;
    const name = nameOf(here.hand.line.events[event]!.notes[stringAt]!);
    const other = nameOf(there.hand.line.events[difference.there.event]!.notes[difference.there.stringAt]!);
    const hereBar = barOf(here.hand, event);
    const thereBar = barOf(there.hand, difference.there.event);
    const theirs = other === name ? " and" : `, ${other} has`;
    return `${name} has ${difference.hereFinger} in bar ${hereBar}${theirs} ${difference.thereFinger} in bar ${thereBar}`;
  }
  if (difference.kind === "joint") {
    const joint = {
      overlap: "connected over the turning note",
      cross: "connected by a crossing",
      separate: "separate",
    };
    const at = eventName(here.hand, difference.here.first);
    return `the placing from ${at} is ${joint[difference.hereJoint]} in bar ${barOf(here.hand, difference.here.first)}, ${joint[difference.thereJoint]} in bar ${barOf(there.hand, difference.there.first)}`;
  }
  const words = (place: PrintedPlace, range: EventRange | undefined): string =>
    range
      ? `from ${eventName(place.hand, range.first)} to ${eventName(place.hand, range.last)} in bar ${barOf(place.hand, range.first)}`
      : `none in ${barsOf(place)}`;
  const [mine, theirs] = [words(here, difference.here), words(there, difference.there)];
  return difference.here
    ? `a bracket ${mine}, ${theirs}`
    : `no bracket ${mine.replace(/^none /, "")}, one ${theirs}`;
}

/** How much more differs, as an addition to a sentence: ` and three more notes`; empty when nothing does. */
export function moreDifferences({ regions }: Disagreement): string {
  const notes = regions.flatMap((region) =>
    region.differences.filter(({ kind }) => kind === "finger"),
  ).length;
  if (notes <= 1) return "";
  return notes === 2 ? "; one more note differs" : `; ${numberWord(notes - 1)} more notes differ`;
}

/** Where the first difference stands in each place, the first place left out, and what is printed there. */
export function relatedPlaces(disagreement: Disagreement): RelatedPlace[] {
  const { passage, here, likeHere, likeThere } = disagreement;
  const m = offsetOfFirst(disagreement);
  const others = [...likeHere, ...likeThere]
    .filter((place) => place !== here)
    .sort((a, b) => a.index - b.index);
  return others.flatMap((place) => {
    const event = passage.alignment[place.index]![m];
    if (event === undefined) return [];
    const brackets = likeHere.includes(place) ? "the same brackets" : "other brackets";
    const what = printedThere(disagreement, place) ?? brackets;
    return [{ span: noteSpan(place, event), message: `Bar ${barOf(place.hand, event)}: ${what}.` }];
  });
}

/** `F#5 has 2`, of the note whose finger differs first; undefined when only brackets differ. */
function printedThere({ passage, regions, here }: Disagreement, place: PrintedPlace): string | undefined {
  const finger = regions.flatMap((region) => region.differences).find(({ kind }) => kind === "finger");
  if (finger?.kind !== "finger") return undefined;
  const { event, stringAt } = finger.here;
  const inPassage = here.hand.line.events[event]!.notes[stringAt]!.string - here.occurrence.steps;
  const other = passage.alignment[place.index]![passage.alignment[here.index]!.indexOf(event)]!;
  const { notes } = place.hand.line.events[other]!;
  const at = notes.findIndex(({ string }) => string - place.occurrence.steps === inPassage);
  if (at < 0) return undefined;
  return `${nameOf(notes[at]!)} has ${place.hand.fingers[other]![at] ?? "no finger"}`;
}

/** All places that are compared, whole. */
export function comparedPlaces({ likeHere, likeThere }: Disagreement): FindingPlace[] {
  return [...likeHere, ...likeThere].sort((a, b) => a.index - b.index).map(wholePlace);
}

/** The events of a place. */
export function wholePlace({ occurrence: { hand, first, last } }: PrintedPlace): FindingPlace {
  return { hand, first, last };
}

/** The event at which the earlier place differs first. */
export function firstEvent(disagreement: Disagreement): number {
  return disagreement.passage.alignment[disagreement.here.index]![offsetOfFirst(disagreement)]!;
}

/** The place of the first difference: a digit, else a bracket, else the note that has none. */
export function firstSpan(disagreement: Disagreement): Span {
  const differences = disagreement.regions.flatMap((region) => region.differences);
  const finger = differences.find(({ kind }) => kind === "finger");
  if (finger?.kind === "finger") {
    const { event, stringAt } = finger.here;
    return placeOfNote(disagreement.here.hand.line.events[event]!.notes[stringAt]!);
  }
  const [bracket] = differences;
  if (bracket?.here && bracket.kind !== "finger") return bracket.here.placing.bracket.start.span;
  return noteSpan(disagreement.here, firstEvent(disagreement));
}

function noteSpan({ hand }: PrintedPlace, event: number): Span {
  const { notes } = hand.line.events[event]!;
  const fingered = notes.find((entry) => entry.note.fingerings.length > 0);
  return fingered ? placeOfNote(fingered) : startTagOf(notes[0]!.note);
}

function offsetOfFirst({ passage, here, there, regions }: Disagreement): number {
  const differences = regions.flatMap((region) => region.differences);
  const difference = differences.find(({ kind }) => kind === "finger") ?? differences[0]!;
  if (difference.kind === "finger") return passage.alignment[here.index]!.indexOf(difference.here.event);
  if (difference.here) return passage.alignment[here.index]!.indexOf(difference.here.first);
  return passage.alignment[there.index]!.indexOf(difference.there!.first);
}
