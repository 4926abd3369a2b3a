import type { PanelNote } from "../../../shared/protocol/panel.ts";
import type { ScoreIndex } from "./scoreIndex.ts";

/** A note in words, for those who do not see the picture. */
export function describeNote(note: PanelNote, index: ScoreIndex): string {
  const finger =
    note.finger === undefined
      ? note.event === undefined
        ? "not plucked"
        : "no finger"
      : `finger ${note.finger}, ${note.from === "print" ? "printed" : "proposed"}`;
  const placing = placingWords(note, index);
  const findings = index.findingsAt(note.id).map(({ message }) => message);
  return [
    `Bar ${note.bar}, beat ${note.beat}, ${note.hand} hand: ${note.pitch}, ${finger}${placing}.`,
    ...findings,
  ].join(" ");
}

function placingWords(note: PanelNote, index: ScoreIndex): string {
  const place = index.eventOf(note);
  if (!place) return "";
  const { hand, event } = place;
  const begins = hand.placings.some(({ first, last }) => first === event && last > first);
  const ends = hand.placings.some(({ first, last }) => last === event && last > first);
  if (begins && ends) return ", shared by two placings";
  return begins ? ", a placing begins" : ends ? ", a placing ends" : "";
}
