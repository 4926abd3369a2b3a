import { footOf, pedalOrder } from "../mechanism/pedalFeet.ts";
import { letterOf } from "../score/pitch.ts";
import type { HarpDemands, Move } from "./harpDemands.ts";

/** How the harp is set before the piece: `levers up on A2 A4`, `D C Bb | E F# G A`. */
export function startWords({ mechanism, leversUp = [], pedals }: HarpDemands): string {
  if (mechanism === "pedal") return pedalsText(pedals!);
  return leversUp.length === 0 ? "all levers down" : `levers up on ${leversUp.join(" ")}`;
}

/** `E5 up`, `F natural`. */
export function moveWords({ what, to }: Move): string {
  return `${what} ${to}`;
}

/** Who makes a change and when: `left hand, before its G2 in bar 5, beat 1`; or that there is no time. */
export function moverWords({ foot, before, inTime, rings, rightIsFree }: Move): string {
  if (!inTime) return rightIsFree ? "no time for it, unless the right hand reaches it" : "no time for it";
  const who = before
    ? `left hand, before its ${before.notes.join("-")} in bar ${before.bar}, beat ${before.beat}`
    : foot
      ? `${foot} foot`
      : "left hand";
  return rings ? `${who}, while the string sounds` : who;
}

/** The positions in the order of the pedals, the feet apart: D C B | E F G A. */
function pedalsText(pedals: readonly number[]): string {
  const shown = (letter: number): string => letterOf(letter) + ["b", "", "#"][pedals[letter]! + 1]!;
  const of = (foot: "left" | "right"): string =>
    pedalOrder
      .filter((letter) => footOf(letter) === foot)
      .map(shown)
      .join(" ");
  return `${of("left")} | ${of("right")}`;
}
