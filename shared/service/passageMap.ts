import type { Finger, HandName } from "../fingering/model.ts";
import type { WrittenHand } from "../fingering/written.ts";
import { bracketsIn, compareOccurrences, type Difference } from "../passages/compareOccurrences.ts";
import type { Change, Occurrence, PassageClass, PassageKind } from "../passages/model.ts";
import { printedPlaces, versionsOf } from "../rules/support/passages/printedPlaces.ts";
import type { Analysis } from "./analyse.ts";
import { passageName } from "./panelRepeats.ts";
import { passagesOf } from "./passagesOf.ts";
import { type EventPlace, pitchNames, placeOf } from "./places.ts";

/** What comes back in a score, and how each place of it is printed. */
export interface PassageMap {
  /** One strip for each hand, the right hand first. */
  readonly strips: readonly PassageStrip[];
  /** In order of their first place. */
  readonly passages: readonly MappedPassage[];
  /** What was left out or cut short, in sentences. */
  readonly messages: readonly string[];
}

/** The bars of a hand, and the places of passages as bands over them. */
export interface PassageStrip {
  readonly hand: HandName;
  readonly bars: readonly { readonly number: string; readonly first: number; readonly last: number }[];
  /** In order of their first event, longer ones first. */
  readonly bands: readonly PassageBand[];
}

export interface PassageBand {
  /** Inclusive range of the hand's events. */
  readonly first: number;
  readonly last: number;
  /** The passage's name, and the number of the place in it, from 0. */
  readonly passage: string;
  readonly place: number;
  readonly likeness: Likeness;
}

/**
 * How a place is printed, against the passage's model: `bare` has no finger and no bracket, one of the two that are
 * `in part` alike lacks some, `unlike` has others.
 */
export type Likeness = "alike" | "in part" | "unlike" | "bare";

export interface MappedPassage {
  /** `A`, `B` … `Z`, `AA`. */
  readonly name: string;
  readonly kind: PassageKind;
  /** Events of its first place. */
  readonly events: number;
  /** The most places that follow each other without a note between. */
  readonly inARow: number;
  /** How much better its returns are told by "as before" than note by note, in bits. */
  readonly surpriseBits: number;
  /** The notes of its first place, lowest first. */
  readonly notes: readonly (readonly string[])[];
  /** The place that the others are compared with, from 0: printed as most are, and the fullest of these. */
  readonly model: number;
  readonly places: readonly MappedPlace[];
}

export interface MappedPlace {
  readonly hand: HandName;
  readonly part: string;
  /** Inclusive range of the hand's events. */
  readonly first: number;
  readonly last: number;
  readonly from: EventPlace;
  readonly to: EventPlace;
  /** `bars 3 to 4`. */
  readonly bars: string;
  /** How many strings it lies above the first place. */
  readonly steps: number;
  readonly changes: readonly Change[];
  readonly likeness: Likeness;
  /** cells[m] stands beside event m of the first place; undefined where this one has no such event. */
  readonly cells: readonly (MappedCell | undefined)[];
  readonly differences: readonly MappedDifference[];
}

/** One event of a place as printed. */
export interface MappedCell {
  /** Lowest first; undefined where none is printed. */
  readonly fingers: readonly (Finger | undefined)[];
  readonly bracketStarts: boolean;
  readonly bracketStops: boolean;
  /** Printed otherwise than in the place that all are compared with. */
  readonly differs: boolean;
}

/** A difference from the model, with where it stands here and in the model. */
export interface MappedDifference {
  readonly difference: Difference;
  readonly here: EventPlace;
  readonly model: EventPlace;
}

/** Lays out what comes back in a score as it is printed. Time O(events in all places). */
export function passageMap(analysis: Analysis): PassageMap {
  const { classes, messages } = passagesOf(analysis);
  const passages = classes.map((passage, index) => mapped(analysis, passage, passageName(index)));
  const strips = analysis.hands.map((hand) => ({
    hand: hand.hand,
    bars: barsOf(hand),
    bands: passages
      .flatMap(({ name, places }) =>
        places.map((place, k): PassageBand & { hand: HandName } => ({
          hand: place.hand,
          first: place.first,
          last: place.last,
          passage: name,
          place: k,
          likeness: place.likeness,
        })),
      )
      .filter((band) => band.hand === hand.hand)
      .map(({ hand: _, ...band }) => band)
      .sort((a, b) => a.first - b.first || b.last - a.last),
  }));
  return { strips, passages, messages };
}

function barsOf({ line }: WrittenHand): PassageStrip["bars"] {
  const bars: { number: string; index: number; first: number; last: number }[] = [];
  line.events.forEach(({ notes }, event) => {
    const { index, number } = notes[0]!.note.measure;
    const bar = bars[bars.length - 1];
    if (bar?.index === index) bar.last = event;
    else bars.push({ number, index, first: event, last: event });
  });
  return bars.map(({ number, first, last }) => ({ number, first, last }));
}

function mapped(analysis: Analysis, passage: PassageClass, name: string): MappedPassage {
  const { hands } = analysis;
  const handOf = ({ hand }: Occurrence): WrittenHand => hands.find((written) => written.hand === hand)!;
  const printed = passage.occurrences.map((occurrence) => printedCount(handOf(occurrence), occurrence));
  const model = modelOf(analysis, passage, printed);
  const [first] = passage.occurrences;
  return {
    name,
    kind: passage.kind,
    events: first!.last - first!.first + 1,
    inARow: passage.inARow,
    surpriseBits: passage.surpriseBits,
    notes: passage.alignment[0]!.map((event) =>
      event === undefined ? [] : pitchNames(handOf(first!), event),
    ),
    model,
    places: passage.occurrences.map((occurrence, k): MappedPlace => {
      const hand = handOf(occurrence);
      const differences = k === model ? [] : compareOccurrences(hands, passage, k, model);
      const from = placeOf(hand, occurrence.first);
      const to = placeOf(hand, occurrence.last);
      return {
        hand: occurrence.hand,
        part: hand.line.events[occurrence.first]!.part.id,
        first: occurrence.first,
        last: occurrence.last,
        from,
        to,
        bars: from.bar === to.bar ? `bar ${from.bar}` : `bars ${from.bar} to ${to.bar}`,
        steps: occurrence.steps,
        changes: occurrence.changes,
        likeness: likenessOf(differences, printed[k]!),
        cells: cellsOf(hand, occurrence, passage.alignment[k]!, eventsThatDiffer(differences)),
        differences: differences.map((difference) => ({
          difference,
          here: placeOf(hand, hereEvent(difference, passage, k, model)),
          model: placeOf(handOf(passage.occurrences[model]!), modelEvent(difference, passage, k, model)),
        })),
      };
    }),
  };
}

function modelOf(analysis: Analysis, passage: PassageClass, printed: readonly number[]): number {
  const fingered = printedPlaces(analysis, passage).filter(({ fingers }) => fingers.size > 0);
  const [usual] = versionsOf(fingered);
  const among = usual ? usual.places.map(({ index }) => index) : printed.map((_, k) => k);
  return among.reduce((best, k) => (printed[k]! > printed[best]! ? k : best));
}

/** How many digits and brackets are printed in a range of events. */
function printedCount(hand: WrittenHand, { first, last }: Occurrence): number {
  const digits = hand.fingers
    .slice(first, last + 1)
    .flatMap((row) => row.filter((finger) => finger !== undefined));
  return digits.length + bracketsIn(hand, { first, last }).inside.length;
}

function likenessOf(differences: readonly Difference[], printed: number): Likeness {
  if (printed === 0) return "bare";
  const isMissing = (difference: Difference): boolean =>
    difference.kind === "finger"
      ? difference.hereFinger === undefined || difference.thereFinger === undefined
      : difference.kind === "bracket" && (difference.here === undefined || difference.there === undefined);
  if (differences.some((difference) => !isMissing(difference))) return "unlike";
  return differences.length > 0 ? "in part" : "alike";
}

function eventsThatDiffer(differences: readonly Difference[]): ReadonlySet<number> {
  const events = new Set<number>();
  for (const difference of differences) {
    if (difference.kind === "finger") events.add(difference.here.event);
    else if (difference.here) {
      events.add(difference.here.first);
      events.add(difference.here.last);
    }
  }
  return events;
}

function cellsOf(
  hand: WrittenHand,
  { first, last }: Occurrence,
  alignment: readonly (number | undefined)[],
  differing: ReadonlySet<number>,
): (MappedCell | undefined)[] {
  const longer = hand.placings.filter((placing) => placing.first < placing.last);
  const starts = new Set(longer.filter((one) => one.first >= first).map((one) => one.first));
  const stops = new Set(longer.filter((one) => one.last <= last).map((one) => one.last));
  return alignment.map((event) =>
    event === undefined
      ? undefined
      : {
          fingers: hand.fingers[event]!,
          bracketStarts: starts.has(event),
          bracketStops: stops.has(event),
          differs: differing.has(event),
        },
  );
}

/** The event here at which a difference stands; of a bracket that only the model has, the one that stands for its first. */
function hereEvent(difference: Difference, passage: PassageClass, k: number, model: number): number {
  if (difference.kind === "finger") return difference.here.event;
  if (difference.here) return difference.here.first;
  return counterpart(passage, model, k, difference.there!.first);
}

function modelEvent(difference: Difference, passage: PassageClass, k: number, model: number): number {
  if (difference.kind === "finger") return difference.there.event;
  if (difference.there) return difference.there.first;
  return counterpart(passage, k, model, difference.here!.first);
}

function counterpart({ alignment }: PassageClass, from: number, to: number, event: number): number {
  return alignment[to]![alignment[from]!.indexOf(event)]!;
}
