import { describe, expect, test } from "vitest";
import { refinger } from "../../shared/fingering/refinger.ts";
import { defaultWeights } from "../../shared/fingering/weights.ts";
import type { FingeredHand } from "../../shared/fingering/write.ts";
import { keepAll, keepOutside } from "../../shared/fingering/written.ts";
import { analyse } from "../../shared/service/analyse.ts";
import { brokenLocks } from "../../shared/service/brokenLocks.ts";
import { cautions, stopOnPain } from "../../shared/service/cautions.ts";
import { tinyScore } from "../support/tinyScore.ts";

function fingered(notation: string, range?: FingeredHand["range"]): FingeredHand {
  const written = analyse(tinyScore(notation).text).hands[0]!;
  return { written, solution: refinger(written, defaultWeights), range };
}

describe("reaches and speeds beyond what is comfortable", () => {
  // Comfortable reaches and times: estimates, from memory; a tenth for thumb and 4 is common practice, no source.
  test("a tenth is comfortable, an eleventh is wide for the chosen hand profile", () => {
    expect(cautions(fingered("C4+E5/4"))).toEqual([]);
    expect(cautions(fingered("C4+F5/4"))).toEqual([
      "Wide for the chosen hand profile (bar 1, right hand): 1 placing, the widest an eleventh. Consider rolling or sharing between the hands.",
    ]);
  });

  test("a rolled chord may be wider", () => {
    expect(cautions(fingered("C4+G5/4!roll"))).toEqual([]);
  });

  test("little time to come back to the strings is pointed out, plenty is not", () => {
    const chords = "C4+E4+G4/1 D4+F4+A4/1 E4+G4+B4/1 C4+E4+G4/1";
    expect(cautions(fingered(`@60 ${chords}`))).toEqual([]);
    expect(cautions(fingered(`@150 ${chords}`))).toEqual([
      "Quick for the chosen hand profile (bar 1, right hand): 3 changes of position in less time than is comfortable. Consider a slower tempo or other fingers.",
    ]);
  });

  test("what the profile cannot do is said as such, with its bar", () => {
    expect(cautions(fingered("C4/4 | C3+C5/4"))).toContain(
      "Beyond the chosen hand profile (bar 2, right hand): too wide for the hand. The rest is fingered around it.",
    );
    expect(cautions(fingered("C4+D4+E4+F4+G4/4")).join()).toContain("more notes than the hand has fingers");
  });

  test("only the chosen range is looked at", () => {
    expect(cautions(fingered("C4+F5/4 | C4+E4/4", { first: 1, last: 1 }))).toEqual([]);
  });

  test("no word of it judges a person, and the word of others goes first", () => {
    expect(stopOnPain).toBe("Stop on pain; a teacher's or clinician's word goes first.");
  });
});

describe("what is printed and cannot be kept", () => {
  test("nothing is said when all of it can", () => {
    expect(brokenLocks(fingered("(C4:4 D4:3 E4:2 F4:1) G4 A4"), keepAll)).toEqual([]);
  });

  test("a finger is named with bar, hand and note", () => {
    const [sentence, ...more] = brokenLocks(fingered("C4:1+E4:3/4"), keepAll);
    expect(sentence).toMatch(/^bar 1, beat 1, right hand, [CE]4: the printed finger [13] cannot be played/);
    expect(more.length).toBeLessThanOrEqual(1);
  });

  test("a bracket that turns round is named with its notes", () => {
    expect(brokenLocks(fingered("(C4 E4 D4) C4"), keepAll)).toEqual([
      "bar 1, right hand: the printed bracket from C4 to D4 is not one placing: its notes turn round, repeat a string or are more than four; it stays, but was left out of account.",
    ]);
  });

  test("what was not to be kept is not named", () => {
    const hand = fingered("(C4 E4 D4) C4");
    expect(brokenLocks(hand, keepOutside({ first: 0, last: 3 }))).toEqual([]);
  });
});
