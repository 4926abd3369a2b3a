import { describe, test } from "vitest";
import { missingFinger } from "../../shared/rules/missingFinger.ts";
import { checkRule } from "../support/checkRule.ts";

describe("missing-finger", () => {
  test("a gap in music that is fingered throughout is reported and filled", () => {
    checkRule(missingFinger, "C4:4 D4:3 [E4] F4:1 E4:2 D4:3 C4:4", {
      fixed: "C4:4 D4:3 E4:2 F4:1 E4:2 D4:3 C4:4",
      message: "E4 has no finger; the notes around have theirs.",
    });
  });

  test("neighbouring gaps are one finding", () => {
    checkRule(missingFinger, "C4:4 [D4] E4 F4:1 E4:2 D4:3 C4:4 C4:4", {
      fixed: "C4:4 D4:3 E4:2 F4:1 E4:2 D4:3 C4:4 C4:4",
      message: "D4 and E4 have no finger",
    });
  });

  test("what is printed stays, brackets too", () => {
    checkRule(missingFinger, "(C4:4 D4:3 [E4] (F4:1) E4:2 D4:3) C4:2", {
      fixed: "(C4:4 D4:3 E4:2 (F4:1) E4:2 D4:3) C4:2",
    });
  });

  test("where only decisions are printed, what a bracket and its fingers leave no choice is not missing", () => {
    const settings = { print: { fingers: "decisions" } } as const;
    const sparse = "(C4:4 D4 E4 (F4:1) E4:2 D4 C4:4) D4:2 E4:2 F4:2";
    checkRule(missingFinger, sparse, { settings });
    checkRule(missingFinger, sparse.replace("D4 E4", "[D4] E4").replace("D4 C4:4", "[D4] C4:4"));
    // Between 4 and 1 there are two fingers for one note.
    checkRule(missingFinger, "(C4:4 [E4] C5:1) A4:2 G4:2 F4:2 E4:2 D4:2", { settings });
  });

  test("at either end of the piece", () => {
    checkRule(missingFinger, "[C4] D4:3 E4:2 F4:1 E4:2 D4:3 C4:4");
    checkRule(missingFinger, "C4:4 D4:3 E4:2 F4:1 E4:2 D4:3 [C4]");
  });

  test("a note of a chord can be missing", () => {
    checkRule(
      missingFinger,
      "C4:3+E4:2+G4:1 D4:3+[F4]+A4 C4:3+E4:2+G4:1 B3:3+D4:2+F4:1 C4:2+E4:1 D4:2+F4:1",
      {
        fixed: "C4:3+E4:2+G4:1 D4:3+F4:2+A4:1 C4:3+E4:2+G4:1 B3:3+D4:2+F4:1 C4:2+E4:1 D4:2+F4:1",
      },
    );
  });

  test("an empty fingering is a gap as well", () => {
    checkRule(missingFinger, 'C4:4 D4:3 [E4:""] F4:1 E4:2 D4:3 C4:4', {
      fixed: "C4:4 D4:3 E4:2 F4:1 E4:2 D4:3 C4:4",
    });
  });

  test("each hand by itself", () => {
    checkRule(missingFinger, "R: C5:4 D5:3 E5:2 F5:1 E5:2 [D5] C5:4 C5:4 // L: C3 G3 C4 G3 C3 G3 C4 G3");
  });

  test("sparse fingering is a house style", () => {
    checkRule(missingFinger, "C4:4 D4 E4 F4:1 E4 D4 C4 D4:1 C4 B3 A3");
    checkRule(missingFinger, "C4:4 D4 E4 F4:1 E4 D4 C4:4");
  });

  test("where gaps are many, only what the player would not find is fingered", () => {
    const full = "C4:4 D4:3 E4:2 F4:1 E4:2 D4:3 C4:4 G3:4";
    const bars = (one: string, times: number): string => Array.from({ length: times }, () => one).join(" | ");
    checkRule(missingFinger, `${full} | C4:4 D4:3 [E4] F4:1 E4:2 D4:3 C4:4 G3:4 | ${bars(full, 5)}`);
    checkRule(missingFinger, bars("C4:4 D4 E4:2 F4:1 E4 D4:3 C4:4 G3:4", 7));
  });

  test("a longer stretch was left so on purpose", () => {
    checkRule(missingFinger, "C4:4 D4:3 E4:2 F4:1 E4:2 D4:3 C4 B3 A3 G3 F3 G3:4 A3:3 B3:2 C4:1 B3:2 A3:3");
  });

  test("chords may have their outer fingers only, or all of them on one note", () => {
    checkRule(missingFinger, "C4:3+E4+G4:1 D4:3+F4+A4:1 C4:3+E4:2+G4:1 B3:3+D4:2+F4:1 C4:2+E4:1 D4:2+F4:1");
    checkRule(
      missingFinger,
      "C4:3,2,1+E4+G4 D4:3+F4:2+A4:1 C4:3+E4:2+G4:1 B3:3+D4:2+F4:1 C4:2+E4:1 D4:2+F4:1",
    );
  });

  test("what an immediate repeat implies is not missing", () => {
    checkRule(missingFinger, "C4:3+E4:2 C4+E4 C4+E4 D4:2 E4:1 D4:2 C4:3 D4:2");
    checkRule(missingFinger, "C4:3 E4:2 G4:1 C4 E4 G4 F4:1 E4:2 D4:3 C4:4 D4:3");
  });

  test("grace notes, trills, tremolos, slides and harmonics often have none", () => {
    checkRule(missingFinger, "C4:4 D4:3 ~F4 E4:2 F4:1 E4:2 D4:3 C4:4");
    checkRule(missingFinger, "C4:4 D4:3 E4!trill F4:1 E4:2 D4:3 C4:4");
    checkRule(missingFinger, "C4:4 D4:3 E4!tremolo F4:1 E4:2 D4:3 C4:4");
    checkRule(missingFinger, "C4:4 D4:3 E4!harmonic F4:1 E4:2 D4:3 C4:4");
  });

  test("a grace note's gap counts where grace notes are fingered", () => {
    checkRule(missingFinger, "~D4:1 C4:2 D4:3 [~F4] E4:2 F4:1 E4:2 D4:3 C4:4");
  });

  test("the rest of a tie needs no finger", () => {
    checkRule(missingFinger, "C4:4 D4:3 E4_:2 E4 F4:1 E4:2 D4:3 C4:4");
  });

  test("all gaps of a passage are found at once, so that filling some brings out no others", () => {
    checkRule(
      missingFinger,
      "C4:4 D4:3 E4:2 F4:1 E4:2 D4:3 [C4] D4:3 [E4] F4:1 [E4] D4:3 C4:4 D4:3 E4:2 F4:1 E4:2 D4:3 C4:4",
    );
  });

  test("nothing is filled in where the fingers around leave none that reach", () => {
    const around = "C4:3+E4:2+G4:1 D4:3+F4:2+A4:1";
    checkRule(missingFinger, `${around} ${around} ${around} [C3]+G3+E4:3`, { fixes: 0 });
  });

  test("too little music to tell", () => {
    checkRule(missingFinger, "C4:4 D4:3 E4 F4:1");
  });

  test("a finger that stands in words is told of as such, and is not missing besides", () => {
    checkRule(missingFinger, "C4:4 <3>D4 <2>E4 <1>F4 E4:2 D4:3 C4:4 D4:3 E4:2 F4:1 E4:2 D4:3");
    // One digit may be anything.
    checkRule(missingFinger, "C4:4 D4:3 <2>[E4] F4:1 E4:2 D4:3 C4:4");
  });

  test("a chord of more notes than the hand has fingers lacks none", () => {
    checkRule(missingFinger, "C4:4 D4:3 E4:2 C4+D4:4+E4:3+G4:2+C5:1 E4:2 D4:3 C4:4");
  });
});
