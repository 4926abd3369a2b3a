import { harpPreset } from "../harp/instruments.ts";
import { openTuning } from "../harp/tunings.ts";
import type { PlannedChange } from "../mechanism/leverPlan.ts";
import { usualLeverTimes } from "../mechanism/leverPlan.ts";
import { defineRule, type RuleInput } from "./define.ts";
import { changeWords, handOfChange, isSaid, printedChanges } from "./support/leverWords.ts";
import { placeOfNote, startTagOf } from "./support/places.ts";
import { secondsText } from "./support/times.ts";

/** Somebody else moves it, in the languages that harp music is printed in. */
const helper = /\b(help\w*|assist\w*|second player|aide|aid[ée]e?|hilfe|helfer\w*|aiuto|ayud\w*)\b/i;

export const noTimeForLever = defineRule({
  id: "no-time-for-lever",
  severity: "warning",
  summary: "A lever has to be moved while the left hand has no time for it, or holds a placing.",
  why: "The left hand leaves the strings to move a lever, and the eyes go with it. Where it plays on without a rest, or a bracket keeps its fingers on the strings, the lever stays as it is and the wrong note sounds.",
  bad: "R: @60 F4/1 A4/1 F#4/1 A4/1 // L: C3 E3 G3 C4 B3 G3 E3 C3",
  good: "R: @60 F4/1 A4/1 F#4/1 A4/1 // L: C3 E3 r/2 B3 G3",
  given: {
    words: "on a 34-string lever harp tuned in C major",
    instrument: { harp: harpPreset("lever-34")!, open: openTuning("C")! },
  },
  fixes: [],
  check(input, report) {
    for (const change of printedChanges(input)) {
      if (isSaid(input, change, helper)) continue;
      const { next } = change.need;
      const at = { hand: handOfChange(input, change), event: next.event };
      if (change.atMicros === undefined) {
        report({ span: placeOfNote(next.entry), message: withoutTime(input, change), at });
        continue;
      }
      const held = placingOver(input, change);
      if (!held) continue;
      report({
        span: placeOfNote(next.entry),
        message: `${changeWords(input, change)}, and a bracket of the left hand reaches over the only moment for it.`,
        at,
        related: [{ span: startTagOf(held.note), message: "The left hand has time here." }],
      });
    }
  },
});

function withoutTime(input: RuleInput, change: PlannedChange): string {
  const { reachMicros, backMicros } = usualLeverTimes;
  const right = change.rightIsFree ? " The right hand is free for it, if it reaches that lever." : "";
  return `${changeWords(input, change)}, and the left hand has no ${secondsText(reachMicros + backMicros)} free there. Give some of its notes to the right hand or leave them out, set the lever earlier by another spelling, or take it slower.${right}`;
}

/** The note of the left hand before which the lever is moved, when a printed placing reaches over that moment. */
function placingOver({ hands }: RuleInput, { before }: PlannedChange) {
  const left = hands.find(({ hand }) => hand === "left");
  if (!left || before === undefined) return undefined;
  const reaches = left.placings.some(({ first, last }) => first < before && last >= before);
  return reaches ? left.line.events[before]!.notes[0] : undefined;
}
