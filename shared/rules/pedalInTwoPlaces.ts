import { harpPreset } from "../harp/instruments.ts";
import { planPedals } from "../mechanism/pedalPlan.ts";
import type { PlayedNote } from "../mechanism/playedNotes.ts";
import { defineRule } from "./define.ts";
import { capitalised, namesOf, placeOfNote } from "./support/places.ts";

export const pedalInTwoPlaces = defineRule({
  id: "pedal-in-two-places",
  severity: "error",
  summary: "Notes that sound together ask for one pedal in two positions.",
  why: "A pedal sets all strings of its letter alike, so F4 and F#5 cannot sound together as they are written. One of them may be had on a neighbouring string, under its other name.",
  bad: "F4+F#5/1",
  good: "F4+Gb5/1",
  given: { words: "on a 47-string concert grand pedal harp", instrument: { harp: harpPreset("pedal-47")! } },
  fixes: [],
  check(input, report) {
    const seen = new Set<string>();
    for (const notes of input.pedals?.impossible ?? []) {
      const [first] = notes;
      const key = `${first!.hand} ${first!.event}`;
      if (seen.has(key)) continue;
      seen.add(key);
      const clashing = clashOf(notes);
      if (!clashing) continue;
      const elsewhere = planPedals(input.instrument!, notes, { respell: true }).impossible.length === 0;
      const at = clashing[clashing.length - 1]!;
      report({
        span: placeOfNote(at.entry),
        message: `${capitalised(namesOf(clashing.map(({ entry }) => entry)))} sound together and ask for one pedal in two positions. ${elsewhere ? "One of them can be had on a neighbouring string, under its other name." : "No other spelling has them all: leave one out, or play it after the other."}`,
        at: { hand: input.hands.find(({ hand }) => hand === at.hand)!, event: at.event },
      });
    }
  },
});

/** The first two notes of one letter that differ; none where a note has no string at all, which is another fault. */
function clashOf(notes: readonly PlayedNote[]): PlayedNote[] | undefined {
  for (const one of notes) {
    const other = notes.find(
      ({ entry }) =>
        entry.note.pitch.letter === one.entry.note.pitch.letter &&
        entry.note.pitch.alter !== one.entry.note.pitch.alter,
    );
    if (other) return [one, other];
  }
  return undefined;
}
