import type { Finger } from "../fingering/model.ts";
import type { WrittenHand, WrittenPlacing } from "../fingering/written.ts";
import { orFound } from "../text/orFound.ts";
import { Ranges } from "../text/ranges.ts";
import type { PassageClass } from "./model.ts";

/** A string of an event. */
export interface NotePlace {
  readonly event: number;
  /** Its place among the event's strings, lowest first. */
  readonly stringAt: number;
}

/** How a placing follows the one before it, in print. */
export type PrintedJoint = "overlap" | "cross" | "separate";

interface Range {
  readonly first: number;
  readonly last: number;
}

/** Inclusive events under one bracket, a shared pivot left out. */
export interface Bracketed extends Range {
  readonly placing: WrittenPlacing;
}

/** Something printed at one place of a passage and not, or otherwise, at another. Events of either place's own hand. */
export type Difference =
  /** A digit; undefined where none is printed. */
  | {
      readonly kind: "finger";
      readonly here: NotePlace;
      readonly there: NotePlace;
      readonly hereFinger: Finger | undefined;
      readonly thereFinger: Finger | undefined;
    }
  /** A bracket; undefined where none is printed over these events. */
  | { readonly kind: "bracket"; readonly here: Bracketed | undefined; readonly there: Bracketed | undefined }
  /** The same brackets, but the second follows the first otherwise: connected here, separate there. */
  | {
      readonly kind: "joint";
      readonly here: Bracketed;
      readonly there: Bracketed;
      readonly hereJoint: PrintedJoint;
      readonly thereJoint: PrintedJoint;
    };

/**
 * What is printed otherwise at two places of a passage, note by note.
 *
 * Only notes that stand for each other are compared. Brackets that reach out of the passage on either side, and those
 * that share notes with such a one, are left out: the music around decides about them.
 *
 * @param hands the hands of the score as printed.
 * @param here, there numbers of two occurrences of the passage.
 * @returns digits first, then brackets and joints, both in order of the events here.
 */
export function compareOccurrences(
  hands: readonly WrittenHand[],
  passage: PassageClass,
  here: number,
  there: number,
): Difference[] {
  const a = bracketedPlace(hands, passage, here);
  const b = bracketedPlace(hands, passage, there);
  return [
    ...compareFingers(a, b, passage.alignment[here]!, passage.alignment[there]!),
    ...compareBrackets(a, b, passage, here, there),
  ];
}

/** A place of a passage with the brackets in it: those inside, and those that reach out of it. */
export interface BracketedPlace {
  readonly hand: WrittenHand;
  readonly steps: number;
  readonly inside: readonly PlacedBracket[];
  readonly edges: readonly Bracketed[];
}

const places = new WeakMap<readonly WrittenHand[], Map<PassageClass, BracketedPlace[]>>();

/** Worked out once for each place, since it is compared with several others. */
export function bracketedPlace(
  hands: readonly WrittenHand[],
  passage: PassageClass,
  index: number,
): BracketedPlace {
  const byPassage = orFound(places, hands, () => new Map<PassageClass, BracketedPlace[]>());
  const all = orFound(byPassage, passage, () =>
    passage.occurrences.map((occurrence) => {
      const hand = hands.find((written) => written.hand === occurrence.hand)!;
      return { hand, steps: occurrence.steps, ...bracketsIn(hand, occurrence) };
    }),
  );
  return all[index]!;
}

const offsets = new WeakMap<PassageClass, ReadonlyMap<number, number>[]>();

/** The event of the passage, from 0, that each event of a place stands for. */
export function offsetsOf(passage: PassageClass, index: number): ReadonlyMap<number, number> {
  const all = orFound(offsets, passage, () =>
    passage.alignment.map(
      (row) => new Map(row.flatMap((event, m) => (event === undefined ? [] : [[event, m] as const]))),
    ),
  );
  return all[index]!;
}

type Alignment = PassageClass["alignment"][number];

function compareFingers(
  a: BracketedPlace,
  b: BracketedPlace,
  events: Alignment,
  others: Alignment,
): Difference[] {
  const differences: Difference[] = [];
  for (let m = 0; m < events.length; m += 1) {
    const [event, other] = [events[m], others[m]];
    if (event === undefined || other === undefined) continue;
    const notes = a.hand.line.events[event]!.notes;
    for (let stringAt = 0; stringAt < notes.length; stringAt += 1) {
      const at = stringAtOf(b.hand, other, notes[stringAt]!.string - a.steps + b.steps);
      if (at < 0) continue;
      const hereFinger = a.hand.fingers[event]![stringAt];
      const thereFinger = b.hand.fingers[other]![at];
      if (hereFinger === thereFinger) continue;
      const here = { event, stringAt };
      const there = { event: other, stringAt: at };
      differences.push({ kind: "finger", here, there, hereFinger, thereFinger });
    }
  }
  return differences;
}

/** Which of an event's strings this is; -1 for none of them. */
function stringAtOf({ line }: WrittenHand, event: number, string: number): number {
  const { notes } = line.events[event]!;
  for (let at = 0; at < notes.length; at += 1) if (notes[at]!.string === string) return at;
  return -1;
}

export interface PlacedBracket extends Bracketed {
  /** How it follows the one before it; undefined when none inside ends there. */
  readonly joint: PrintedJoint | undefined;
}

function compareBrackets(
  here: BracketedPlace,
  there: BracketedPlace,
  passage: PassageClass,
  hereIndex: number,
  thereIndex: number,
): Difference[] {
  const [hereAt, thereAt] = [offsetsOf(passage, hereIndex), offsetsOf(passage, thereIndex)];
  const toThere = (event: number): number | undefined =>
    passage.alignment[thereIndex]![hereAt.get(event) ?? -1];
  const toHere = (event: number): number | undefined =>
    passage.alignment[hereIndex]![thereAt.get(event) ?? -1];
  const open = new Set(there.inside);
  const differences: Difference[] = [];
  for (const bracket of here.inside) {
    const first = toThere(bracket.first);
    const last = toThere(bracket.last);
    if (first === undefined || last === undefined) continue;
    const same = there.inside.find((other) => other.first === first && other.last === last);
    if (!same) {
      if (touchesAny(there.edges, { first, last })) continue;
      const over = there.inside.find((other) => open.has(other) && shares(other, { first, last }));
      if (over) open.delete(over);
      differences.push({ kind: "bracket", here: bracket, there: over });
      continue;
    }
    open.delete(same);
    if (bracket.joint && same.joint && bracket.joint !== same.joint) {
      const joints = { hereJoint: bracket.joint, thereJoint: same.joint };
      differences.push({ kind: "joint", here: bracket, there: same, ...joints });
    }
  }
  for (const bracket of open) {
    const first = toHere(bracket.first);
    const last = toHere(bracket.last);
    if (first === undefined || last === undefined || touchesAny(here.edges, { first, last })) continue;
    differences.push({ kind: "bracket", here: undefined, there: bracket });
  }
  const eventOf = (difference: Difference): number => {
    if (difference.kind === "finger") return difference.here.event;
    return difference.here?.first ?? toHere(difference.there!.first)!;
  };
  return differences.sort((x, y) => eventOf(x) - eventOf(y));
}

/** The brackets of a range of events: those inside, and those that reach out of it. */
export function bracketsIn(
  hand: WrittenHand,
  { first, last }: Range,
): { inside: PlacedBracket[]; edges: Bracketed[] } {
  const inside: PlacedBracket[] = [];
  const edges: Bracketed[] = [];
  for (const i of placingsByEvent(hand).numbersTouching(first, last)) {
    const placing = hand.placings[i]!;
    if (placing.first === placing.last) continue;
    const previous = hand.placings[i - 1];
    // How it follows a placing from before the passage is the business of what stands there.
    const before = previous && previous.first >= first ? previous : undefined;
    const pivot = before !== undefined && before.last === placing.first && before.first < before.last;
    const joint = pivot ? "overlap" : placing.fromPivot ? "cross" : jointAfter(before, placing.first);
    const start = pivot ? placing.first + 1 : placing.first;
    if (placing.first < first || placing.last > last)
      edges.push({ placing, first: start, last: placing.last });
    else
      inside.push({
        placing,
        first: start,
        last: placing.last,
        joint: before && joint,
      });
  }
  return { inside, edges };
}

const known = new WeakMap<WrittenHand, Ranges<WrittenPlacing>>();

function placingsByEvent(hand: WrittenHand): Ranges<WrittenPlacing> {
  let ranges = known.get(hand);
  if (!ranges) {
    ranges = new Ranges(hand.placings);
    known.set(hand, ranges);
  }
  return ranges;
}

function jointAfter(before: Range | undefined, first: number): PrintedJoint | undefined {
  return before && before.last === first - 1 ? "separate" : undefined;
}

function shares(a: Range, b: Range): boolean {
  return a.first <= b.last && b.first <= a.last;
}

function touchesAny(brackets: readonly Range[], one: Range): boolean {
  return brackets.some((bracket) => shares(bracket, one));
}
