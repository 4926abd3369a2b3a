import { printedSlide, type WrittenHand } from "../../fingering/written.ts";
import type { RuleInput } from "../define.ts";
import { bracketsTouching } from "./printedBrackets.ts";
import { hasSpecialSound, notesOf, type PlacedNote } from "./printedPlacings.ts";
import type { EventRange } from "./solveAround.ts";

/** Two notes, one just after the other, that have the same finger in print. */
export interface FingerAgain {
  readonly before: PlacedNote;
  readonly after: PlacedNote;
  /** From the one to the other. */
  readonly micros: number;
}

/**
 * The notes of this event and the next that the same finger plays, on one string or on two; undefined when there are
 * none, or when other rules tell about them: chords one after the other are set anew as they are, a bracket says by
 * itself that its fingers are wrong, slides, trills and tremolos are played with one finger.
 */
export function fingerAgain(input: RuleInput, hand: WrittenHand, event: number): FingerAgain | undefined {
  const here = hand.line.events[event]!;
  const next = hand.line.events[event + 1];
  if (!next || next.cutBefore || (here.notes.length > 1 && next.notes.length > 1)) return undefined;
  const fingers = hand.fingers[event]!;
  const nextFingers = hand.fingers[event + 1]!;
  const finger = fingers.find((each) => each !== undefined && nextFingers.includes(each));
  if (finger === undefined || printedSlide(hand.line, event) !== undefined) return undefined;
  const [notes, nextNotes] = [notesOf(hand, event, event), notesOf(hand, event + 1, event + 1)];
  if (hasSpecialSound(notes) || hasSpecialSound(nextNotes)) return undefined;
  if (isUnderOneBracket(input, hand, event)) return undefined;
  return {
    before: notes.find((note) => note.finger === finger)!,
    after: nextNotes.find((note) => note.finger === finger)!,
    micros: next.atMicros - here.atMicros,
  };
}

function isUnderOneBracket(input: RuleInput, hand: WrittenHand, event: number): boolean {
  return bracketsTouching(input, hand, event, event).some(({ last }) => event < last);
}

/** True when a note of this event is to be played short: then the hand comes off on purpose. */
export function isStaccato(hand: WrittenHand, event: number): boolean {
  return hand.line.events[event]!.notes.some(({ note, doubles }) =>
    [note, ...doubles].some(({ marks }) => marks.staccato),
  );
}

/** Goes through events one by one: those that follow each other and are alike make one range each, one event wider. */
export function runsOf(hand: WrittenHand, isAlike: (event: number) => boolean): EventRange[] {
  const runs: EventRange[] = [];
  const count = hand.line.events.length;
  for (let first = 0; first + 1 < count; first += 1) {
    let last = first;
    while (last + 1 < count && isAlike(last)) last += 1;
    if (last > first) runs.push({ first, last });
    first = Math.max(first, last - 1);
  }
  return runs;
}
