import { defineRule } from "./define.ts";
import { copyToBare, passagesFingeredOnce } from "./support/passages/fingeredOnce.ts";
import type { PrintedPlace } from "./support/passages/printedPlaces.ts";
import { allBarsOf, barOf, barsOf, wholePlace } from "./support/passages/words.ts";
import { startTagOf } from "./support/places.ts";

const copy = { title: "Copy the fingers to every place that has none", safety: "ask" } as const;

export const passageFingeredOnce = defineRule({
  id: "passage-fingered-once",
  severity: "info",
  summary: "A passage is fingered in one place and has no finger where it comes back.",
  why: "Many editors finger what comes back once only; where other returns are fingered, or the rest of the piece is not yet, one without fingers may have been forgotten.",
  bad: "C4:4 D4:3 E4:2 G4:1 F4:2 D4:3 B3:4/1 | E4:2+G4:1/2 D4:2+F4:1/2 | C4 D4 E4 G4 F4 D4 B3/1 | C4:4+E4:3+G4:2+C5:1/4",
  good: "C4:4 D4:3 E4:2 G4:1 F4:2 D4:3 B3:4/1 | E4:2+G4:1/2 D4:2+F4:1/2 | C4:4 D4:3 E4:2 G4:1 F4:2 D4:3 B3:4/1 | C4:4+E4:3+G4:2+C5:1/4",
  fixes: [copy],
  check(input, report) {
    for (const found of passagesFingeredOnce(input)) {
      const { fingered, bare } = found;
      const [place, ...others] = [fingered, ...bare].sort((a, b) => a.index - b.index);
      const { hand, occurrence } = place!;
      report({
        span: firstNote(place!),
        message: `The passage of ${barsOf(fingered)} comes back without fingers in ${allBarsOf(bare)}.`,
        at: { hand, event: occurrence.first },
        places: [place!, ...others].map(wholePlace),
        related: others.map((other) => ({
          span: firstNote(other),
          message: `It stands in bar ${barOf(other.hand, other.occurrence.first)}, ${other === fingered ? "with" : "without"} fingers.`,
        })),
        fixes: [{ ...copy, edits: () => copyToBare(input, found) }],
      });
    }
  },
});

function firstNote({ hand, occurrence }: PrintedPlace): { start: number; end: number } {
  return startTagOf(hand.line.events[occurrence.first]!.notes[0]!.note);
}
