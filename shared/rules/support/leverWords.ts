import type { WrittenHand } from "../../fingering/written.ts";
import type { PlannedChange } from "../../mechanism/leverPlan.ts";
import type { PlayedNote } from "../../mechanism/playedNotes.ts";
import { leverPosition } from "../../mechanism/positions.ts";
import { stringName } from "../../score/pitch.ts";
import type { RuleInput } from "../define.ts";
import { nameOf } from "./places.ts";

/** Changes of levers as they stand in print: what comes back in a repeat is one. */
export function printedChanges({ levers }: RuleInput): PlannedChange[] {
  const seen = new Set<string>();
  return (levers?.changes ?? []).filter(({ need: { string, last, next } }) => {
    const key = `${string} ${last.hand} ${last.event} ${next.hand} ${next.event}`;
    return !seen.has(key) && seen.add(key);
  });
}

/** `The F4 lever has to go up between F4 in bar 3 and F#4 in bar 4`. */
export function changeWords({ instrument }: RuleInput, { need }: PlannedChange): string {
  const { string, to, last, next } = need;
  const way = leverPosition(instrument!, string, to);
  return `The ${stringName(string)} lever has to go ${way} between ${noteInBar(last)} and ${noteInBar(next)}`;
}

function noteInBar({ entry }: PlayedNote): string {
  return `${nameOf(entry)} in bar ${entry.note.measure.number}`;
}

/** Words such as these stand in the bar of the note that needs the lever. */
export function isSaid({ harp }: RuleInput, { need }: PlannedChange, words: RegExp): boolean {
  const { measure } = need.next.entry.note;
  return harp.parts.some((part) =>
    part.words.some((said) => said.measure === measure && words.test(said.text)),
  );
}

/** Where a finding about a change stands: at the note that needs it. */
export function handOfChange({ hands }: RuleInput, { need }: PlannedChange): WrittenHand {
  return hands.find(({ hand }) => hand === need.next.hand)!;
}
