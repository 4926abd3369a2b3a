import { harpPreset } from "../harp/instruments.ts";
import { openTuning } from "../harp/tunings.ts";
import { stringName } from "../score/pitch.ts";
import { defineRule } from "./define.ts";
import {
  askedPitches,
  knownStringing,
  otherStrings,
  reportOfPitch,
  soundName,
} from "./support/askedPitches.ts";
import { inWords } from "./support/places.ts";

export const spellingMovesString = defineRule({
  id: "spelling-moves-string",
  severity: "warning",
  summary: "A note can only be had on a neighbouring string, under another name.",
  why: "The hand goes to another string than the one that the note is written for, so that fingers and brackets which suit the page may not suit the hand. Written as it is played, the note shows its string.",
  bad: "Db4/4",
  good: "C#4/4",
  given: {
    words: "on a 34-string lever harp tuned in E flat major",
    instrument: { harp: harpPreset("lever-34")!, open: openTuning("Eb")! },
  },
  fixes: [],
  check(input, report) {
    const stringing = knownStringing(input);
    if (!stringing) return;
    const { mechanism } = stringing.harp;
    for (const asked of askedPitches(input)) {
      const others = otherStrings(stringing, asked);
      if (!others || others.length === 0) continue;
      const strings = inWords(
        others.map((other) => `the ${stringName(other.string)} string, as ${soundName(other)}`),
      );
      const where = mechanism === "lever" ? ` in ${stringing.open!.title} tuning` : "";
      const printed = asked.uses.some(({ hand, event }) =>
        hand.fingers[event]!.some((finger) => finger !== undefined),
      );
      const fingers = printed ? ` The fingers here are for the ${stringName(asked.string)} string.` : "";
      report(reportOfPitch(asked, `${asked.name} is played on ${strings}${where}.${fingers}`));
    }
  },
});
