import { type Harp, harpPreset, harpPresets } from "../harp/instruments.ts";
import { hasString, highestString } from "../harp/strings.ts";
import { stringName } from "../score/pitch.ts";
import { defineRule } from "./define.ts";
import {
  type AskedPitch,
  askedPitches,
  harpWords,
  knownStringing,
  otherStrings,
  reportOfPitch,
} from "./support/askedPitches.ts";

export const stringNotOnHarp = defineRule({
  id: "string-not-on-harp",
  severity: "error",
  summary: "A note lies above or below the strings of the chosen harp.",
  why: "Harps differ in range: what lies beyond the chosen harp's strings cannot be played on it, unless an octave away or on a larger harp.",
  bad: "B3/4",
  good: "B4/4",
  given: { words: "on a 22-string lap harp", instrument: { harp: harpPreset("lap-22")! } },
  fixes: [],
  check(input, report) {
    const { instrument } = input;
    if (!instrument) return;
    const { harp } = instrument;
    const stringing = knownStringing(input);
    for (const asked of askedPitches(input)) {
      if (hasString(harp, asked.string)) continue;
      // Just beyond the end a neighbour may sound the same: that is said of the spelling.
      if (stringing && otherStrings(stringing, asked)?.length !== 0) continue;
      const isHigh = asked.string > harp.lowest;
      const end = isHigh
        ? `above the highest string, ${stringName(highestString(harp))}`
        : `below the lowest string, ${stringName(harp.lowest)}`;
      report(
        reportOfPitch(
          asked,
          `${asked.name} is ${end}, of ${harpWords(instrument)}.${adviceFor(asked, instrument.harp)}`,
        ),
      );
    }
  },
});

function adviceFor({ string }: AskedPitch, harp: Harp): string {
  const octave = string > harp.lowest ? "lower" : "higher";
  const isNear = hasString(harp, octave === "lower" ? string - 7 : string + 7);
  const larger = harpPresets.find((preset) => preset.count > harp.count && hasString(preset, string));
  const advice = [
    ...(isNear ? [`an octave ${octave} it has a string`] : []),
    ...(larger ? [`a ${larger.title} has it`] : []),
  ];
  const said = advice.join("; ");
  return said === "" ? "" : ` ${said.charAt(0).toUpperCase()}${said.slice(1)}.`;
}
