import { harpPreset } from "../harp/instruments.ts";
import { changesTooClose, footOf, pedalMicros } from "../mechanism/pedalFeet.ts";
import type { PedalChange } from "../mechanism/pedalPlan.ts";
import { pedalPosition } from "../mechanism/positions.ts";
import { letterOf } from "../score/pitch.ts";
import { defineRule } from "./define.ts";
import { nameOf, placeOfNote } from "./support/places.ts";
import { secondsText } from "./support/times.ts";

export const pedalsTooClose = defineRule({
  id: "pedals-too-close",
  severity: "warning",
  summary: "A pedal has to be moved and there is no time for it.",
  why: "Each foot makes about two changes a second, one after the other. Where two notes ask for more, the second sounds wrong or the pedal buzzes.",
  bad: "F4 F#4",
  good: "F4/1 r/1 F#4",
  given: { words: "on a 47-string concert grand pedal harp", instrument: { harp: harpPreset("pedal-47")! } },
  fixes: [],
  check(input, report) {
    const seen = new Set<string>();
    for (const change of changesTooClose(input.pedals?.changes ?? [])) {
      const { letter, next } = change;
      const key = `${letter} ${next.hand} ${next.event}`;
      if (seen.has(key)) continue;
      seen.add(key);
      const hand = input.hands.find((one) => one.hand === next.hand)!;
      report({
        span: placeOfNote(next.entry),
        message: messageOf(change),
        at: { hand, event: next.event },
      });
    }
  },
});

function messageOf({ letter, to, last, next }: PedalChange): string {
  const since = last ? ` after ${nameOf(last.entry)} in bar ${last.entry.note.measure.number}` : "";
  return `The ${letterOf(letter)} pedal has to go to ${pedalPosition(to)}${since} and before ${nameOf(next.entry)} in bar ${next.entry.note.measure.number}: the ${footOf(letter)} foot needs about ${secondsText(pedalMicros)} for a change. Another spelling on a neighbouring string may save it.`;
}
