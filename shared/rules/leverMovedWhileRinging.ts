import { harpPreset } from "../harp/instruments.ts";
import { openTuning } from "../harp/tunings.ts";
import { defineRule } from "./define.ts";
import { changeWords, handOfChange, isSaid, printedChanges } from "./support/leverWords.ts";
import { placeOfNote, startTagOf } from "./support/places.ts";

/** The string is to bend with its lever. */
const bend = /\b(bend\w*|bent|glid\w*|gliss\w*|portam\w*)\b/i;

export const leverMovedWhileRinging = defineRule({
  id: "lever-moved-while-ringing",
  severity: "info",
  summary: "The only time to move a lever is while its string is still to sound.",
  why: "A lever on a sounding string bends the note and buzzes. Touch the string first, or write the note shorter; if the bend is wanted, accept it.",
  bad: "R: @60 F4/3 F#4/1 // L: r/2 C3 E3 G3 C4",
  good: "R: @60 F4/1 r/2 F#4/1 // L: r/2 C3 E3 G3 C4",
  given: {
    words: "on a 34-string lever harp tuned in C major",
    instrument: { harp: harpPreset("lever-34")!, open: openTuning("C")! },
  },
  fixes: [],
  check(input, report) {
    for (const change of printedChanges(input)) {
      if (!change.rings || isSaid(input, change, bend)) continue;
      const { last, next } = change.need;
      report({
        span: placeOfNote(next.entry),
        message: `${changeWords(input, change)}, and the left hand is free for it only while the first still sounds: muffle it, or write it shorter.`,
        at: { hand: handOfChange(input, change), event: next.event },
        related: [{ span: startTagOf(last.entry.note), message: "This note still sounds." }],
      });
    }
  },
});
