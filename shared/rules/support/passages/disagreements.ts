import type { WrittenHand } from "../../../fingering/written.ts";
import type { PassageClass } from "../../../passages/model.ts";
import { passagesOfHands } from "../../../passages/passagesOfHands.ts";
import type { PrintedBracket } from "../../../score/brackets.ts";
import { Ranges } from "../../../text/ranges.ts";
import type { RuleInput } from "../../define.ts";
import { type PrintedPlace, printedPlaces, versionsOf } from "./printedPlaces.ts";
import { eventsOf, type Region, regionsBetween } from "./regions.ts";

/** A passage that is printed otherwise where it comes back. */
export interface Disagreement {
  readonly passage: PassageClass;
  /** `fingers`: digits, and brackets over the same notes. `brackets`: the same digits under other brackets. */
  readonly about: "fingers" | "brackets";
  /** The same strings in the same rhythm; else the figure on other strings, or in the other hand. */
  readonly exact: boolean;
  /** The two places that are compared, the earlier one first. */
  readonly here: PrintedPlace;
  readonly there: PrintedPlace;
  /** All places that are printed as `here`, and as `there`, those two included. In order of time. */
  readonly likeHere: readonly PrintedPlace[];
  readonly likeThere: readonly PrintedPlace[];
  readonly regions: readonly Region[];
  /** All places that are fingered, or bracketed. */
  readonly all: readonly PrintedPlace[];
  /** How many ways to print the passage there are. */
  readonly versions: number;
  /** Which of the two is printed as fewer places are. */
  readonly unusual: "here" | "there";
}

const known = new WeakMap<RuleInput["hands"], readonly Disagreement[]>();

/**
 * Where passages that come back are printed otherwise. A note that differs in several passages is told once: in the
 * one that holds most of what differs, of equal ones in the one with the most places. What differs in an exact return
 * is not told again where the figure comes on other strings.
 */
export function disagreements(input: RuleInput): readonly Disagreement[] {
  let found = known.get(input.hands);
  if (!found) {
    found = findDisagreements(input);
    known.set(input.hands, found);
  }
  return found;
}

function findDisagreements(input: RuleInput): Disagreement[] {
  const { classes } = passagesOfHands(input.hands, input.score);
  const printed = classes.map((passage) => ({ passage, places: printedPlaces(input, passage) }));
  const exact = printed.flatMap(({ passage, places }) =>
    sameMusic(passage, places).flatMap((group) => [
      ...aboutFingers(input, passage, group, true),
      ...aboutBrackets(input, passage, group),
    ]),
  );
  const loose = printed
    .filter(
      ({ passage }) => passage.occurrences.some(({ steps }) => steps !== 0) || passage.kind === "otherHand",
    )
    .flatMap(({ passage, places }) => aboutFingers(input, passage, places, false));
  const told = new Told();
  return [...told.fresh(exact.sort(mostFirst)), ...told.fresh(loose.sort(mostFirst))];
}

/** Groups of places on the same strings of one hand. */
function sameMusic(passage: PassageClass, places: readonly PrintedPlace[]): PrintedPlace[][] {
  // In a shifted passage they are an exact passage of their own.
  if (passage.kind === "shifted" || passage.kind === "otherHand") return [];
  const groups = new Map<number, PrintedPlace[]>();
  for (const place of places) {
    const group = groups.get(place.occurrence.steps);
    if (group) group.push(place);
    else groups.set(place.occurrence.steps, [place]);
  }
  return [...groups.values()].filter((group) => group.length > 1);
}

function aboutFingers(
  input: RuleInput,
  passage: PassageClass,
  places: readonly PrintedPlace[],
  exact: boolean,
): Disagreement[] {
  const all = places.filter(({ fingers }) => fingers.size > 0);
  const [usual, ...others] = versionsOf(all);
  return others.flatMap((version): Disagreement[] => {
    for (const there of version.places) {
      for (const here of usual!.places) {
        if (!exact && isSameMusic(here, there)) continue;
        if (!exact && isMeant(places, version.places)) continue;
        const [first, second] = here.index < there.index ? [here, there] : [there, here];
        const regions = regionsBetween(input, passage, first, second).filter(({ fingers }) => fingers);
        if (regions.length === 0) continue;
        const [likeHere, likeThere] =
          first === here ? [usual!.places, version.places] : [version.places, usual!.places];
        const unusual = first === here ? ("there" as const) : ("here" as const);
        const pair = { here: first, there: second, likeHere, likeThere, unusual };
        return [{ passage, about: "fingers", exact, ...pair, all, regions, versions: others.length + 1 }];
      }
    }
    return [];
  });
}

/**
 * True when a version is what stands in every fingered place on some strings, and each of these has come back: a
 * difference that is printed again and again is no slip.
 */
function isMeant(places: readonly PrintedPlace[], version: readonly PrintedPlace[]): boolean {
  return version.every((place) => {
    const onSameStrings = places.filter((other) => other.fingers.size > 0 && isSameMusic(other, place));
    return onSameStrings.length > 1 && onSameStrings.every((other) => version.includes(other));
  });
}

function isSameMusic({ occurrence: a }: PrintedPlace, { occurrence: b }: PrintedPlace): boolean {
  return a.hand === b.hand && a.steps === b.steps;
}

/** Places with the same digits and other brackets. */
function aboutBrackets(
  input: RuleInput,
  passage: PassageClass,
  places: readonly PrintedPlace[],
): Disagreement[] {
  const regionsOf = (a: PrintedPlace, b: PrintedPlace): Region[] =>
    regionsBetween(input, passage, a, b).filter(({ fingers }) => !fingers);
  const versions: PrintedPlace[][] = [];
  const all = places.filter(({ brackets }) => brackets > 0);
  for (const place of all) {
    const version = versions.find(([first]) => regionsOf(first!, place).length === 0);
    if (version) version.push(place);
    else versions.push([place]);
  }
  const [usual, ...others] = versions.sort((a, b) => b.length - a.length || a[0]!.index - b[0]!.index);
  return others.map((other) => {
    const [likeHere, likeThere] = usual![0]!.index < other[0]!.index ? [usual!, other] : [other, usual!];
    const [here, there] = [likeHere[0]!, likeThere[0]!];
    const regions = regionsOf(here, there);
    const unusual = likeHere === other ? ("here" as const) : ("there" as const);
    const pair = { here, there, likeHere, likeThere, unusual };
    return { passage, about: "brackets", exact: true, ...pair, all, regions, versions: versions.length };
  });
}

function mostFirst(a: Disagreement, b: Disagreement): number {
  const differing = ({ regions }: Disagreement): number =>
    regions.reduce((sum, region) => sum + region.differences.length, 0);
  const places = ({ likeHere, likeThere }: Disagreement): number => likeHere.length + likeThere.length;
  const length = ({ passage }: Disagreement): number => passage.alignment[0]!.length;
  const byKind = Number(a.about === "brackets") - Number(b.about === "brackets");
  return byKind || differing(b) - differing(a) || places(b) - places(a) || length(b) - length(a);
}

/** Remembers which events a disagreement has been told about, and what is printed at those that they were held against. */
class Told {
  readonly #events = new Map<string, { readonly passage: PassageClass; readonly print: string }[]>();

  /** The disagreements without the regions that those before them have told about. */
  fresh(all: readonly Disagreement[]): Disagreement[] {
    return all.flatMap((one) => {
      const unknown = one.regions.filter((region) => !this.#knows(one, region));
      const regions = unknown.filter((region) => !this.#knowsAgainst(one, region));
      for (const region of unknown) this.#remember(one, region);
      return regions.length > 0 ? [{ ...one, regions }] : [];
    });
  }

  /**
   * Of the same music both places must have been told about: one alone may differ from a third as well. On other
   * strings the unusual one is enough.
   */
  #knows({ passage, exact, here, there, unusual }: Disagreement, region: Region): boolean {
    const places = exact ? [here, there] : [unusual === "here" ? here : there];
    return places.every((place) =>
      eventsOf(passage, place.index, region).some((event) => this.#events.has(name(place, event))),
    );
  }

  /**
   * One of the places has been told about in another passage, held against a place that is printed just as its other
   * place is here. Within one passage what is printed alike is one version, and told together.
   */
  #knowsAgainst({ passage, exact, here, there }: Disagreement, region: Region): boolean {
    const isTold = (place: PrintedPlace, other: PrintedPlace): boolean => {
      const pairs = differing(passage, place, other, region);
      return (
        pairs.length > 0 &&
        pairs.every(([event, otherEvent]) =>
          this.#events
            .get(name(place, event))
            ?.some((known) => known.passage !== passage && known.print === printOf(other, otherEvent)),
        )
      );
    };
    return exact && (isTold(here, there) || isTold(there, here));
  }

  #remember({ passage, here, there, likeHere, likeThere }: Disagreement, region: Region): void {
    for (const [places, other] of [
      [likeHere, there],
      [likeThere, here],
    ] as const) {
      for (const place of places) {
        for (const event of eventsOf(passage, place.index, region)) this.#printsAgainst(place, event);
        for (const [event, otherEvent] of differing(passage, place, other, region))
          this.#printsAgainst(place, event).push({ passage, print: printOf(other, otherEvent) });
      }
    }
  }

  #printsAgainst(place: PrintedPlace, event: number): { passage: PassageClass; print: string }[] {
    const key = name(place, event);
    const prints = this.#events.get(key) ?? [];
    this.#events.set(key, prints);
    return prints;
  }
}

/** The events of two places that stand for each other in a region and are printed otherwise. */
function differing(
  { alignment }: PassageClass,
  a: PrintedPlace,
  b: PrintedPlace,
  { from, to }: Region,
): [number, number][] {
  const pairs: [number, number][] = [];
  for (let m = from; m <= to; m += 1) {
    const [x, y] = [alignment[a.index]![m], alignment[b.index]![m]];
    if (x !== undefined && y !== undefined && printOf(a, x) !== printOf(b, y)) pairs.push([x, y]);
  }
  return pairs;
}

/** What is printed in a hand. */
interface Print {
  readonly brackets: Ranges<PrintedBracket>;
  /** What stands at an event, by its number; written out when it is first asked for. */
  readonly byEvent: Map<number, string>;
}

const prints = new WeakMap<WrittenHand, Print>();

/** The digits at an event, and how far the brackets over it reach. */
function printOf({ hand }: PrintedPlace, event: number): string {
  let print = prints.get(hand);
  if (!print) {
    print = { brackets: new Ranges(hand.placings.map(({ bracket }) => bracket)), byEvent: new Map() };
    prints.set(hand, print);
  }
  let here = print.byEvent.get(event);
  if (here === undefined) {
    const reaches = print.brackets
      .touching(event, event)
      .map(({ first, last }) => `${first - event} ${last - event}`);
    here = `${hand.fingers[event]!.join()} / ${reaches.join()}`;
    print.byEvent.set(event, here);
  }
  return here;
}

function name({ occurrence }: PrintedPlace, event: number): string {
  return `${occurrence.hand} ${event}`;
}
