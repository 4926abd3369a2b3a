import { mainFingeringSite, removeFingering } from "../musicxml/fingeringEdits.ts";
import { pitchName } from "../score/pitch.ts";
import { defineRule } from "./define.ts";
import { refingerFix } from "./support/refingerFix.ts";

export const fingerOutsideRange = defineRule({
  id: "finger-outside-range",
  severity: "error",
  summary: "A fingering names a finger that harpists do not use.",
  why: "Harp fingering runs from 1 (thumb) to 4 (ring finger); the little finger is too short for the strings.",
  bad: "C4:1 D4:5",
  good: "C4:2 D4:1",
  check(input, report) {
    for (const hand of input.hands) {
      hand.line.events.forEach((event, index) => {
        for (const entry of event.notes) {
          for (const note of [entry.note, ...entry.doubles]) {
            for (const fingering of note.fingerings) {
              if (fingering.number === undefined || (fingering.number >= 1 && fingering.number <= 4))
                continue;
              const site = mainFingeringSite(note.site);
              report({
                span: fingering.span,
                message: `${pitchName(note.pitch)} is marked with finger ${fingering.text}; harp fingering runs from 1 to 4.`,
                at: { hand, event: index },
                fixes: [
                  refingerFix(
                    input,
                    hand,
                    { first: index, last: index },
                    "Give this note a finger from 1 to 4",
                  ),
                  {
                    title: "Remove this fingering",
                    safety: "ask",
                    edits: () => (site ? [removeFingering(input.text, note.site, site)] : []),
                  },
                ],
              });
            }
          }
        }
      });
    }
  },
});
