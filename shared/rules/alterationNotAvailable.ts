import { harpPreset } from "../harp/instruments.ts";
import { hasString } from "../harp/strings.ts";
import { alterationsOf, openTuning, openTunings, type Stringing, stringsSounding } from "../harp/tunings.ts";
import { stringName } from "../score/pitch.ts";
import { defineRule } from "./define.ts";
import {
  type AskedPitch,
  askedPitches,
  knownStringing,
  otherStrings,
  reportOfPitch,
  soundName,
} from "./support/askedPitches.ts";
import { inWords } from "./support/places.ts";

export const alterationNotAvailable = defineRule({
  id: "alteration-not-available",
  severity: "error",
  summary: "No string of the chosen harp, as it is tuned, can sound a note.",
  why: "A lever raises a string by a semitone and no more, so the tuning of the open strings decides which flats and sharps there are. Another tuning, another key or another spelling may have the note.",
  bad: "Eb4/4",
  good: "E4/4",
  given: {
    words: "on a 34-string lever harp tuned in C major",
    instrument: { harp: harpPreset("lever-34")!, open: openTuning("C")!, levers: ["F", "C"] },
  },
  fixes: [],
  check(input, report) {
    const stringing = knownStringing(input);
    if (!stringing) return;
    for (const asked of askedPitches(input)) {
      if (!hasString(stringing.harp, asked.string)) continue;
      if (otherStrings(stringing, asked)?.length !== 0) continue;
      const found = reportOfPitch(asked, messageOf(stringing, asked));
      // The lowest strings of a pedal harp have no discs: they can be tuned before the piece.
      report(stringing.harp.mechanism === "pedal" ? { ...found, severity: "warning" } : found);
    }
  },
});

function messageOf(stringing: Stringing, { string, alter, name }: AskedPitch): string {
  const given = alterationsOf(stringing, string);
  const sounds = inWords(given.map((own) => soundName({ string, alter: own })));
  const own = `${name} cannot be had: the ${stringName(string)} string gives ${sounds}`;
  if (stringing.harp.mechanism === "pedal") {
    return `${own} because it has no discs; it would have to be tuned before the piece.`;
  }
  const tunings = openTunings.filter(
    (open) => stringsSounding({ ...stringing, open }, { string, alter }).length > 0,
  );
  const advice =
    tunings.length > 0
      ? ` Open strings in ${inWords(tunings.map(({ title }) => title)).replace(/ and ([^,]*)$/, " or $1")} would have it.`
      : "";
  return `${own} in ${stringing.open!.title} tuning, and no neighbour sounds the same.${advice}`;
}
