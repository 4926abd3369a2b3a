import { describe, test } from "vitest";
import { harpPresets } from "../../shared/harp/instruments.ts";
import { comesOffWithoutTime } from "../../shared/rules/comesOffWithoutTime.ts";
import { checkRule } from "../support/checkRule.ts";
import { tinyScore } from "../support/tinyScore.ts";

const apart = "(C4:3 D4:2 E4:1) (D4:2 C4:3) r/1.5";

describe("comes-off-without-time", () => {
  test("brackets meet on the turning note of short notes", () => {
    checkRule(comesOffWithoutTime, "(C4:3 D4:2 E4:1) [(]D4:2 C4:3)", {
      fixed: "(C4:3 D4:2 (E4:1) D4:2 C4:3)",
      message:
        "The brackets from C4 to E4 and from D4 to C4 leave the hand to come off at the turn within 0.3 s; connected it would be easier.",
    });
    checkRule(comesOffWithoutTime, "L: (E3:1 D3:2 C3:3) [(]D3:2 E3:1)", {
      fixed: "L: (E3:1 D3:2 (C3:3) D3:2 E3:1)",
    });
  });

  test("with other fingers after the turn, where the printed ones do not reach it", () => {
    checkRule(comesOffWithoutTime, "(E4:1 D4:2 C4:3) [(]D4:4 F4:1) r/1.5", {
      fixed: "(E4:1 D4:2 (C4:3) D4:2 F4:1) r/1.5",
    });
  });

  test("fingers that neither lie in one hand nor cross", () => {
    checkRule(comesOffWithoutTime, "C4:3 D4:2 E4:[3] F4:2 G4:1 F4:2", {
      message: "From D4 (2) to E4 (3) the hand has to come off within 0.3 s",
    });
  });

  test("with time the hand comes off", () => {
    checkRule(comesOffWithoutTime, "(C4/1:3 D4/1:2 E4/2:1) (D4/1:2 C4/1:3)");
    checkRule(comesOffWithoutTime, "@40 C4:3 D4:2 E4:3 F4:2 G4:1 F4:2");
  });

  test("so it does at a rest, a fermata or a staccato", () => {
    checkRule(comesOffWithoutTime, "(C4:3 D4:2 E4:1) r (D4:2 C4:3)");
    checkRule(comesOffWithoutTime, "(C4:3 D4:2 E4:1!fermata) (D4:2 C4:3)");
    checkRule(comesOffWithoutTime, "(C4:3 D4:2 E4:1!staccato) (D4:2 C4:3)");
  });

  test.each([
    '<slur type="stop" number="1"/>',
    "<articulations><breath-mark/></articulations>",
    "<articulations><caesura/></articulations>",
  ])("a phrase ends with %s", (sign) => {
    const { text } = tinyScore(apart);
    const end = text.indexOf("<technical>", text.indexOf("<step>E</step>"));
    checkRule(comesOffWithoutTime, text.slice(0, end) + sign + text.slice(end));
  });

  test("a hand that moves a lever comes off for it", () => {
    const harp = harpPresets.find(({ mechanism, count }) => mechanism === "lever" && count === 36)!;
    const score = "R: (C4:3 D4:2 E4:1) (D4:2 C4:3) r/1.5 // L: F3/1.25:2 F#3/1:2 r/1.75";
    checkRule(comesOffWithoutTime, score, { settings: { instrument: { harp } } });
    checkRule(comesOffWithoutTime, score.replace("(D4:2", "[(]D4:2"));
  });

  test("a school that draws its brackets so throughout is left alone", () => {
    checkRule(comesOffWithoutTime, [apart, apart, apart].join(" | "));
    checkRule(
      comesOffWithoutTime,
      "(C4:3 D4:2 E4:1) [(]D4:2 C4:3) r/1.5 | (F4:3 G4:2 (A4:1) G4:2 F4:3) r/1.5",
    );
  });

  test("a player whose hand comes off often is left alone", () => {
    checkRule(comesOffWithoutTime, "@55 (C4:3 D4:2 E4:1) [(]D4:2 C4:3)");
    checkRule(comesOffWithoutTime, "@55 (C4:3 D4:2 E4:1) (D4:2 C4:3)", {
      settings: { profile: { comingOff: "often" } },
    });
  });

  test("a thumb that slides on to the next string is connected", () => {
    checkRule(comesOffWithoutTime, "(C4:3 D4:2 E4:1) (D4:1 C4:2) r");
  });

  test("chords, trills and notes without a finger are not judged", () => {
    checkRule(comesOffWithoutTime, "(C4:4 E4:2+G4:1) (E4:2 C4:4)");
    checkRule(comesOffWithoutTime, "C4:3 D4:2 E4 F4:2 G4:1 F4:2");
    checkRule(comesOffWithoutTime, "C4:2!trill D4:3 E4:1");
  });
});
