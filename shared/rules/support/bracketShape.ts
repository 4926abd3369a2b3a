import type { Solution } from "../../fingering/model.ts";
import { isOnePlacing, type WrittenHand } from "../../fingering/written.ts";
import type { Edit } from "../../text/edits.ts";
import type { RuleInput } from "../define.ts";
import { bracketEdits } from "./fixes.ts";
import { eventName } from "./places.ts";
import { type BracketPlacing, printedBrackets } from "./printedBrackets.ts";
import { costs, type EventRange, solveAround } from "./solveAround.ts";

/** Which way the events under a bracket go. */
export interface BracketShape {
  /** Different strings under the bracket. */
  readonly strings: number;
  /** Some string comes more than once. */
  readonly returns: boolean;
  /** The event at which they no longer go one way; undefined when they do. The same strings again do not count. */
  readonly turnAt: number | undefined;
  /** How often they change their way. */
  readonly turns: number;
}

export function bracketShape(hand: WrittenHand, { first, last }: EventRange): BracketShape {
  const seen = new Set<number>();
  let returns = false;
  let turnAt: number | undefined;
  let turns = 0;
  let way = 0;
  for (let event = first; event <= last; event += 1) {
    const { notes } = hand.line.events[event]!;
    for (const { string } of notes) {
      returns ||= seen.has(string);
      seen.add(string);
    }
    if (event === first || isSameAgain(hand, event)) continue;
    const step = stepTo(hand, event);
    if (step === 0) {
      turnAt ??= event;
      turns += 1;
    } else {
      if (way !== 0 && step !== way) {
        turnAt ??= event - 1;
        turns += 1;
      }
      way = step;
    }
  }
  return { strings: seen.size, returns, turnAt, turns };
}

function isSameAgain(hand: WrittenHand, event: number): boolean {
  const [before, here] = [hand.line.events[event - 1]!.notes, hand.line.events[event]!.notes];
  return before.length === here.length && here.every(({ string }, i) => string === before[i]!.string);
}

/** 1 when the event lies wholly above the one before, -1 when below, 0 otherwise. */
function stepTo(hand: WrittenHand, event: number): number {
  const [before, here] = [hand.line.events[event - 1]!.notes, hand.line.events[event]!.notes];
  if (here[0]!.string > before[before.length - 1]!.string) return 1;
  return here[here.length - 1]!.string < before[0]!.string ? -1 : 0;
}

/** More notes than this under a bracket, in music whose brackets are never placings, mean something else. */
const mostNotesOfPlacing = 8;

/**
 * True when a bracket is more likely a line of analysis than a placing: no bracket of the hand is one, and it is long,
 * or one of a few in much music that nobody has fingered.
 */
export function isLikelyForeign(input: RuleInput, hand: WrittenHand, bracket: BracketPlacing): boolean {
  const brackets = printedBrackets(input, hand);
  if (bracket.last - bracket.first < mostNotesOfPlacing && !areStray(hand, brackets)) return false;
  return !brackets.some((other) => other.last > other.first && isOnePlacing(hand.line, other));
}

/** A few brackets in much music without a finger: their events are at most this share. Estimates, no source. */
const stray = { leastEvents: 60, mostShare: 0.05 };

function areStray({ line, fingers }: WrittenHand, brackets: readonly BracketPlacing[]): boolean {
  const under = brackets.reduce((sum, { first, last }) => sum + last - first + 1, 0);
  return (
    line.events.length >= stray.leastEvents &&
    under <= stray.mostShare * line.events.length &&
    !fingers.some((row) => row.some((finger) => finger !== undefined))
  );
}

/** `from C4 to G4` */
export function bracketWords(hand: WrittenHand, { first, last }: EventRange): string {
  return `from ${eventName(hand, first)} to ${eventName(hand, last)}`;
}

/**
 * Gives, when it is called, the edits that put brackets over placings in the place of a bracket that is none. The
 * printed fingers are kept if they make good placings; undefined when no fingers do.
 */
export function regroupEdits(
  input: RuleInput,
  hand: WrittenHand,
  { bracket }: BracketPlacing,
): (() => Edit[]) | undefined {
  return regroupedRange(input, hand, bracket);
}

/** Printed fingers that cost more than others by this, in thousandths, are not kept when brackets are drawn anew. */
const keepingCostsMilli = 1500;

/** The same for edits that put brackets over placings in the place of all that lie in a range. */
export function regroupedRange(
  input: RuleInput,
  hand: WrittenHand,
  { first, last }: EventRange,
): (() => Edit[]) | undefined {
  const range = { first, last };
  // A note that a bracket shares which reaches out of the range keeps its finger for that.
  const others = printedBrackets(input, hand).filter(
    (other) => other.first < first !== other.last < first || other.first > last !== other.last > last,
  );
  const isShared = (event: number): boolean =>
    others.some((other) => other.first <= event && event <= other.last);
  const solved = (keepFingers: boolean): Solution => {
    const decisions = {
      fingers: (event: number) => keepFingers || isShared(event),
      placings: () => false,
    };
    return solveAround(input, hand, range, decisions, 0);
  };
  const [kept, anew] = [solved(true), solved(false)];
  const isKept = isSound(kept) && kept.totalMilli <= anew.totalMilli + keepingCostsMilli;
  const solution = [...(isKept ? [kept] : []), anew, kept].find(isSound);
  return solution && (() => bracketEdits(input, hand, solution, range));
}

/** True when no placing breaks a printed finger, misses its thumb, at a turn too, or is beyond the hand. */
export function isSound(solution: Pick<Solution, "placings">): boolean {
  return !costs(solution, everything, ["lock", "thumb", "turn", "tooWide"]);
}

const everything: EventRange = { first: 0, last: Number.POSITIVE_INFINITY };
