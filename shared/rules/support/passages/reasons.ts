import { timesAround } from "../../../fingering/bothHands.ts";
import type { Locks } from "../../../fingering/model.ts";
import { isOnePlacing } from "../../../fingering/written.ts";
import { harpPresets } from "../../../harp/instruments.ts";
import { highestString } from "../../../harp/strings.ts";
import type { RuleInput } from "../../define.ts";
import { costWithOtherHand, type PartOfLine, printedLine, printedPart } from "../printedLine.ts";
import type { EventRange } from "../solveAround.ts";
import { copiedPrint } from "./copiedPrint.ts";
import type { Disagreement } from "./disagreements.ts";
import type { PrintedPlace } from "./printedPlaces.ts";
import { eventsOf, type Region } from "./regions.ts";

/**
 * A place is printed otherwise for a reason when printing it alike costs more than this, in thousandths. Common
 * practice, no source: once chosen, a fingering is kept, unless the surroundings ask for another.
 */
const reasonMilli = 1500;

/** Searching takes time: the first disagreements in a score are weighed, more than that are taken for slips. */
const mostWeighed = 24;

/** Events on each side that are weighed with a region. */
const contextEvents = 8;

/** Weighs whether places have a reason to be printed otherwise. */
export class Reasons {
  readonly #input: RuleInput;
  #weighed = 0;

  constructor(input: RuleInput) {
    this.#input = input;
  }

  /**
   * True when each place has the better print for its own surroundings: what stands before and after it, and what the
   * other hand does, would make either one's print dearer in the other's place.
   */
  suitsSurroundings({ passage, here, there, regions }: Disagreement): boolean {
    if (this.#weighed >= mostWeighed) return false;
    this.#weighed += 1;
    return regions.every((region) => {
      const copy = (from: PrintedPlace, to: PrintedPlace): number => this.#dearer(passage, from, to, region);
      return copy(here, there) > reasonMilli && copy(there, here) > reasonMilli;
    });
  }

  /** What printing a region of one place like another costs more than it does as printed, in thousandths. */
  #dearer(passage: Disagreement["passage"], from: PrintedPlace, to: PrintedPlace, region: Region): number {
    const events = eventsOf(passage, to.index, region);
    const [first, last] = [Math.min(...events), Math.max(...events)];
    const { from: begin, to: end } = timesAround(printedLine(to.hand), first, last, contextEvents);
    const part = printedPart(to.hand, begin, end)!;
    const otherHand = this.#input.hands.find((hand) => hand !== to.hand);
    const other = otherHand && printedPart(otherHand, begin, end)?.line;
    const copied = { ...part.line, locks: locksWithCopy(part, this.#input, passage, from, to, [region]) };
    return costWithOtherHand(this.#input, copied, other) - costWithOtherHand(this.#input, part.line, other);
  }
}

/** What is printed in a part of a line once regions of it are printed like another place. */
function locksWithCopy(
  { line, offset }: PartOfLine,
  input: RuleInput,
  passage: Disagreement["passage"],
  from: PrintedPlace,
  to: PrintedPlace,
  regions: readonly Region[],
): Locks {
  const { digits, removed, added } = copiedPrint(input, passage, from, to, regions);
  const count = line.events.length;
  const inPart = ({ first, last }: EventRange): EventRange => ({
    first: first - offset,
    last: last - offset,
  });
  const fingers = [...line.locks.fingers];
  for (const { event, stringAt, finger } of digits) {
    const row = fingers[event - offset];
    if (row) fingers[event - offset] = row.with(stringAt, finger);
  }
  const gone = new Set(removed.map(inPart).map(({ first, last }) => `${first} ${last}`));
  const placings = [
    ...line.locks.placings.filter(({ first, last }) => !gone.has(`${first} ${last}`)),
    ...added
      .filter((placing) => isOnePlacing(to.hand.line, placing))
      .map(inPart)
      .filter(({ first, last }) => first >= 0 && last < count),
  ].sort((a, b) => a.first - b.first || a.last - b.last);
  const joined = [...(line.locks.joined ?? [])];
  for (const { first, last } of [...removed, ...added].map(inPart))
    joined.fill(undefined, Math.max(0, first - 1), Math.max(0, last + 1));
  return { fingers, placings, joined };
}

/** Strings this near to the end of the harp leave the hand no choice. */
const stringsNearEnd = 3;
const concertHarp = harpPresets.find(({ mechanism, count }) => mechanism === "pedal" && count === 47)!;

/** True when notes of a region lie at the end of the harp, or one place is low where the other is not. */
export function isWhereStringsDiffer(
  { instrument, weights }: RuleInput,
  { passage, here, there, regions }: Disagreement,
): boolean {
  const harp = instrument?.harp ?? concertHarp;
  const [low, high] = [harp.lowest + stringsNearEnd, highestString(harp) - stringsNearEnd];
  const strings = (place: PrintedPlace): number[] =>
    regions.flatMap((region) =>
      eventsOf(passage, place.index, region).flatMap((event) =>
        place.hand.line.events[event]!.notes.map(({ string }) => string),
      ),
    );
  const places = [here, there].map((place) => ({ hand: place.hand.hand, strings: strings(place) }));
  const atEnd = places.some((place) => place.strings.some((string) => string < low || string > high));
  const isLow = places.map(
    (place) =>
      place.hand === "left" && place.strings.every((string) => string < weights.single.lowLeftBelowString),
  );
  return atEnd || isLow[0] !== isLow[1];
}

/** Tempi that differ by less are the same to the hand. */
const sameTempoRatio = 1.25;

/** A dynamic sign and its name. Source: MusicXML 4.0, musicxml.xsd, complexType dynamics. */
const dynamics = /<dynamics\b[^>]*>\s*<([a-z]+)\s*\/>/g;

const grades = ["pppp", "ppp", "pp", "p", "mp", "mf", "f", "ff", "fff", "ffff"];

/** From p to f: a little louder the second time is no reason. An estimate, no source. */
const otherGrades = 3;

/** True when dynamic signs at the beginning of both places make one much louder than the other. */
export function isPlayedAtOtherLoudness(
  { text }: RuleInput,
  { passage, here, there, regions }: Disagreement,
): boolean {
  const signOf = ({ hand, occurrence, index }: PrintedPlace): string | undefined => {
    const { measure } = hand.line.events[occurrence.first]!.notes[0]!.note;
    const event = Math.min(...regions.flatMap((region) => eventsOf(passage, index, region)));
    const { start } = hand.line.events[event]!.notes[0]!.note.site.span;
    return [...text.slice(measure.span.start, start).matchAll(dynamics)].at(-1)?.[1];
  };
  const [a, b] = [signOf(here), signOf(there)];
  const [from, to] = [grades.indexOf(a ?? ""), grades.indexOf(b ?? "")];
  return from >= 0 && to >= 0 && Math.abs(to - from) >= otherGrades;
}

/** True when the events of a region follow each other clearly faster in one place than in the other. */
export function isPlayedAtOtherSpeed({ passage, here, there, regions }: Disagreement): boolean {
  const micros = (place: PrintedPlace): number =>
    regions.reduce((sum, region) => {
      const events = eventsOf(passage, place.index, region);
      const at = (event: number): number => place.hand.line.events[event]!.atMicros;
      return sum + at(Math.max(...events)) - at(Math.min(...events));
    }, 0);
  const [a, b] = [micros(here), micros(there)];
  return Math.max(a, b) > sameTempoRatio * Math.min(a, b);
}
