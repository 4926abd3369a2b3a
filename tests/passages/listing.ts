/** Found passages in a line each, for tests to read: `exact right 1:1-6:3 9:1-14:3`. */
import { findPassages } from "../../shared/passages/findPassages.ts";
import type { Change, PassageClass, Passages } from "../../shared/passages/model.ts";
import { findHarp } from "../../shared/score/findHarp.ts";
import { type HandLine, handLines } from "../../shared/score/handLines.ts";
import { add, format, rational } from "../../shared/score/rational.ts";
import { readScore } from "../../shared/score/readScore.ts";

export interface Found extends Passages {
  readonly lines: readonly HandLine[];
}

export function passagesOf(text: string, part?: string): Found {
  const { score } = readScore(text);
  const lines = handLines(score, findHarp(score, part));
  return { lines, ...findPassages(lines, score) };
}

/**
 * One line a class: kind, hand, then bar and beat of the first and last event of each occurrence, how many strings it
 * lies off, and what is changed in it (s strings, r rhythm, l left out, a added); for both hands the hand of each.
 */
export function listing({ lines, classes }: Found): string[] {
  return classes.map((found) => {
    const hand = found.kind === "otherHand" ? "" : ` ${found.occurrences[0]!.hand}`;
    return `${found.kind}${hand} ${placesOf(lines, found).join(" ")}`;
  });
}

export function placesOf(lines: readonly HandLine[], { kind, occurrences }: PassageClass): string[] {
  return occurrences.map(({ hand, first, last, steps, changes }) => {
    const { events } = lines.find((line) => line.hand === hand)!;
    const place = (event: number): string => {
      const { note } = events[event]!.notes[0]!;
      return `${note.measure.number}:${format(add(note.position, rational(1)))}`;
    };
    const off = steps === 0 ? "" : `${steps > 0 ? "+" : ""}${steps}`;
    const kinds = changes.map((change: Change) => change.kind[0]).join("");
    return `${kind === "otherHand" ? hand[0] : ""}${place(first)}-${place(last)}${off}${kinds ? `(${kinds})` : ""}`;
  });
}
