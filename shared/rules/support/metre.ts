import type { WrittenHand } from "../../fingering/written.ts";
import { divide, equal, type Rational, rational } from "../../score/rational.ts";
import type { EventRange } from "./solveAround.ts";

/**
 * True when these events are as many equal notes as fill one or more beats, and begin where such groups begin in the
 * bar: four sixteenths from a beat, four eighths from the first or third quarter, three triplets from a beat. Fingers
 * go with such groups, so that each beat feels alike. Two notes are no group to speak of. In bars that three eighths divide, they are a beat as well.
 */
export function isMetricGroup({ line }: WrittenHand, { first, last }: EventRange): boolean {
  const notes = line.events.slice(first, last + 1).map((event) => event.notes[0]!.note);
  const [head] = notes;
  if (!head || notes.length < fewestNotes || head.duration.n === 0) return false;
  if (notes.some(({ duration }) => !equal(duration, head.duration))) return false;
  const total = rational(head.duration.n * notes.length, head.duration.d);
  const beats = [rational(1), rational(3, 2)];
  return (
    isMultiple(head.position, total) &&
    beats.some((beat) => isMultiple(total, beat) && isMultiple(head.measure.length, beat))
  );
}

const fewestNotes = 3;

function isMultiple(value: Rational, of: Rational): boolean {
  return divide(value, of).d === 1;
}
