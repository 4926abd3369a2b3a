import { defaultTempo } from "../score/timeline.ts";
import { defineRule } from "./define.ts";
import { firstPlucked } from "./support/piece.ts";
import { startTagOf } from "./support/places.ts";
import { isTempoKnown } from "./support/timing.ts";

export const tempoNotStated = defineRule({
  id: "tempo-not-stated",
  severity: "info",
  summary: "The score states no tempo, so that times are judged at an assumed one.",
  why: "Whether a hand has time to come off, to leap or to repeat a string depends on the tempo. A metronome mark in the score or a tempo in the settings tells it.",
  bad: "C4/4 @?",
  good: "C4/4 @80",
  fixes: [],
  check(input, report) {
    if (isTempoKnown(input)) return;
    const first = firstPlucked(input);
    if (!first) return;
    report({
      span: startTagOf(first.entry.note),
      message: `The score states no tempo: ${defaultTempo} quarter notes a minute are assumed. Whether the hands have time is judged by that; state a tempo in the score or in the settings.`,
      at: first,
    });
  },
});
