import { describe, test } from "vitest";
import { harpPreset } from "../../shared/harp/instruments.ts";
import { openTuning } from "../../shared/harp/tunings.ts";
import { leverMarkAgainstNotes } from "../../shared/rules/leverMarkAgainstNotes.ts";
import { checkRule } from "../support/checkRule.ts";

const settings = { instrument: { harp: harpPreset("lever-34")!, open: openTuning("C")! } };

describe("lever-mark-against-notes", () => {
  // Octaves from the top: mossharpservice.com. F4 is in the third, F5 in the second.
  test("the next note of the string is altered otherwise", () => {
    checkRule(leverMarkAgainstNotes, "R: @60 [<3F♯>]C4/1 F4/1 // L: r/2", {
      settings,
      fixes: 1,
      fixed: "R: @60 <3F♮>C4/1 F4/1 // L: r/2",
      message:
        "The mark sets the F4 lever to sharp, and F4 in bar 1, the next on F4, needs natural: one of them is wrong, or a change is missing between.",
    });
  });

  test("all strings of a letter, one of which is otherwise", () => {
    checkRule(leverMarkAgainstNotes, "R: @60 [<Set: F♯>]F#4/1 F5/1 // L: r/2", { settings, fixes: 0 });
    checkRule(leverMarkAgainstNotes, "R: @60 [<Set: F♯>]F4/1 F5/1 // L: r/2", { settings, fixes: 1 });
    checkRule(leverMarkAgainstNotes, "R: @60 <Set: F♯ 2F♮>F#4/1 F5/1 // L: r/2", { settings });
  });

  test("a mark that comes too early is set right, and the change is written where it is made", () => {
    checkRule(leverMarkAgainstNotes, "R: @60 F4/1 [<3F♯>]F4/1 r/2 | F#4/1 // L: r/4 | C3/1", {
      settings,
      fixed: "R: @60 F4/1 <3F♮>F4/1 r/2 | <3F♯>F#4/1 // L: r/4 | C3/1".replace(
        "<3F♯>F#4/1 // L: r/4 | C3/1",
        "F#4/1 // L: r/4 | <3F♯>C3/1",
      ),
    });
  });

  test("quiet: another octave, a later mark, a pedal harp, a respelling on another string, no tuning", () => {
    checkRule(leverMarkAgainstNotes, "R: @60 <2F♯>C4/1 F4/1 // L: r/2", { settings });
    checkRule(leverMarkAgainstNotes, "R: @60 <3F♯>C4/1 <3F♮>F4/1 // L: r/2", { settings });
    // G flat is had on the F string with its lever up.
    checkRule(leverMarkAgainstNotes, "R: @60 <3F♯>C4/1 Gb4/1 // L: r/2", { settings });
    checkRule(leverMarkAgainstNotes, "R: @60 <3F♯>C4/1 F4/1 // L: r/2", {
      settings: { instrument: { harp: harpPreset("pedal-47")! } },
    });
    checkRule(leverMarkAgainstNotes, "R: @60 <3F♯>C4/1 F4/1 // L: r/2", {
      settings: { instrument: { harp: harpPreset("lever-34")! } },
    });
  });

  test("no repair where the words say more", () => {
    checkRule(leverMarkAgainstNotes, "R: @60 [<lever 3F♯ here>]C4/1 F4/1 // L: r/2", { settings, fixes: 0 });
  });

  test("of notes in both hands the next in time is told of, whichever staff it is on", () => {
    checkRule(leverMarkAgainstNotes, "R: @60 r/1 F5/1 C5/2 // L: [<F ♯>]F3/1 C3/1 r/2", {
      settings,
      message: "and F3 in bar 1",
    });
  });
});
