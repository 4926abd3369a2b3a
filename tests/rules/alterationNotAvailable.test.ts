import { describe, test } from "vitest";
import { harpPreset } from "../../shared/harp/instruments.ts";
import { openTuning } from "../../shared/harp/tunings.ts";
import { alterationNotAvailable } from "../../shared/rules/alterationNotAvailable.ts";
import type { Settings } from "../../shared/service/analyse.ts";
import { checkRule } from "../support/checkRule.ts";

const lever = (tuning: string, levers?: string[]): Settings => ({
  instrument: { harp: harpPreset("lever-34")!, open: openTuning(tuning)!, ...(levers ? { levers } : {}) },
});
const pedal: Settings = { instrument: { harp: harpPreset("pedal-47")! } };

// Which notes a tuning has is arithmetic: a lever raises its string by a semitone.
describe("alteration-not-available", () => {
  test("a flat that no lever gives is reported once, with the tunings that have it", () => {
    checkRule(alterationNotAvailable, "C4 [Eb4] G4 Eb4", {
      settings: lever("C", ["F", "C"]),
      message:
        "Eb4 cannot be had: the E4 string gives E4 in C major tuning, and no neighbour sounds the same. Open strings in B flat major, E flat major or A flat major would have it. 2 notes ask for it.",
    });
    checkRule(alterationNotAvailable, "[F#4] G4", { settings: lever("C", ["C"]) });
  });

  test("levers that are set before the piece give their notes from the beginning", () => {
    checkRule(alterationNotAvailable, "F#4 G4 C#5 D5 | F#4 G4 C#5 D5", { settings: lever("Eb") });
    checkRule(alterationNotAvailable, "Eb4 Bb4 Ab4 | E4 B4 A4", { settings: lever("Eb") });
  });

  test("a neighbour that sounds the same has the note", () => {
    checkRule(alterationNotAvailable, "Db4", { settings: lever("Eb") });
    checkRule(alterationNotAvailable, "F##4", { settings: pedal });
  });

  test("where strings are tuned otherwise, or the tuning is not known, nothing is said", () => {
    checkRule(alterationNotAvailable, "<Tune all E strings to E flat>C4 Eb4", {
      settings: lever("C", ["F"]),
    });
    checkRule(alterationNotAvailable, "<Scordatura: Eb>C4 Eb4", { settings: lever("C", ["F"]) });
    checkRule(alterationNotAvailable, "Eb4", { settings: { instrument: { harp: harpPreset("lever-34")! } } });
    checkRule(alterationNotAvailable, "Eb4");
  });

  test("the lowest strings of a pedal harp have no discs and can be tuned beforehand", () => {
    checkRule(alterationNotAvailable, "L: [Cb1]", {
      settings: pedal,
      severity: "warning",
      message: "no discs",
    });
    checkRule(alterationNotAvailable, "L: Eb1 Cb2", { settings: pedal });
  });

  test("a note beyond the strings is told as that", () => {
    checkRule(alterationNotAvailable, "L: Eb1", { settings: lever("C", ["F"]) });
  });
});
