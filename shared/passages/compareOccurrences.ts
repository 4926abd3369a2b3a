import type { Finger } from "../fingering/model.ts";
import type { WrittenHand, WrittenPlacing } from "../fingering/written.ts";
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
  const a = placeOf(hands, passage, here);
  const b = placeOf(hands, passage, there);
  const pairs: [number, number][] = [];
  passage.alignment[here]!.forEach((event, m) => {
    const other = passage.alignment[there]![m];
    if (event !== undefined && other !== undefined) pairs.push([event, other]);
  });
  return [...compareFingers(a, b, pairs), ...compareBrackets(a, b, new Map(pairs))];
}

interface Place extends Range {
  readonly hand: WrittenHand;
  readonly steps: number;
}

function placeOf(hands: readonly WrittenHand[], passage: PassageClass, index: number): Place {
  const { hand, first, last, steps } = passage.occurrences[index]!;
  return { hand: hands.find((written) => written.hand === hand)!, first, last, steps };
}

function compareFingers(a: Place, b: Place, pairs: readonly (readonly [number, number])[]): Difference[] {
  const differences: Difference[] = [];
  for (const [event, other] of pairs) {
    a.hand.line.events[event]!.notes.forEach((entry, stringAt) => {
      const notes = b.hand.line.events[other]!.notes;
      const at = notes.findIndex(({ string }) => string - b.steps === entry.string - a.steps);
      if (at < 0) return;
      const hereFinger = a.hand.fingers[event]![stringAt];
      const thereFinger = b.hand.fingers[other]![at];
      if (hereFinger === thereFinger) return;
      const here = { event, stringAt };
      differences.push({
        kind: "finger",
        here,
        there: { event: other, stringAt: at },
        hereFinger,
        thereFinger,
      });
    });
  }
  return differences;
}

export interface PlacedBracket extends Bracketed {
  /** How it follows the one before it; undefined when none inside ends there. */
  readonly joint: PrintedJoint | undefined;
}

function compareBrackets(a: Place, b: Place, toThere: ReadonlyMap<number, number>): Difference[] {
  const here = bracketsIn(a.hand, a);
  const there = bracketsIn(b.hand, b);
  const toHere = new Map([...toThere].map(([event, other]) => [other, event]));
  const open = new Set(there.inside);
  const differences: Difference[] = [];
  for (const bracket of here.inside) {
    const first = toThere.get(bracket.first);
    const last = toThere.get(bracket.last);
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
    const first = toHere.get(bracket.first);
    const last = toHere.get(bracket.last);
    if (first === undefined || last === undefined || touchesAny(here.edges, { first, last })) continue;
    differences.push({ kind: "bracket", here: undefined, there: bracket });
  }
  const eventOf = (difference: Difference): number => {
    if (difference.kind === "finger") return difference.here.event;
    return difference.here?.first ?? toHere.get(difference.there!.first)!;
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
