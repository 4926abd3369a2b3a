import { describe, expect, test } from "vitest";
import { unmatchedBracketEnd } from "../../shared/rules/unmatchedBracketEnd.ts";
import { analyse } from "../../shared/service/analyse.ts";
import { checkRule, findingsOf } from "../support/checkRule.ts";
import { tinyScore } from "../support/tinyScore.ts";

const remove = "Remove this end of a bracket";

describe("unmatched-bracket-end", () => {
  test("a start that never stops gets its stop where the placing ends", () => {
    checkRule(unmatchedBracketEnd, "[{]C4:3 D4:2 E4:1 C4:3", {
      fixed: "(C4:3 D4:2 E4:1) C4:3",
      message: "A bracket starts before C4 and never stops.",
    });
  });

  test("a stop that never started gets its start where the placing begins", () => {
    checkRule(unmatchedBracketEnd, "E4:1 C4:3 D4:2 E4:1[}]", {
      fixed: "E4:1 (C4:3 D4:2 E4:1)",
      message: "A bracket stops after E4 that never started.",
    });
  });

  test("after a crossing the bracket is drawn from the pivot", () => {
    checkRule(unmatchedBracketEnd, "(C4:4 D4:3 E4:2 [{]F4:1) G4:4 A4:3 B4:2 C5:1", {
      fixed: "(C4:4 D4:3 E4:2 (F4:1) G4:4 A4:3 B4:2 C5:1)",
    });
    checkRule(unmatchedBracketEnd, "(C4:4 D4:3 E4:2 F4:1) G4:4 A4:3 B4:2 C5:1[}]", {
      fixed: "(C4:4 D4:3 E4:2 (F4:1) G4:4 A4:3 B4:2 C5:1)",
    });
  });

  test("or over the next group only, where crossings are printed so", () => {
    checkRule(unmatchedBracketEnd, "(C4:4 D4:3 E4:2 F4:1) G4:4 A4:3 B4:2 C5:1[}]", {
      fixed: "(C4:4 D4:3 E4:2 F4:1) (G4:4 A4:3 B4:2 C5:1)",
      settings: { print: { crossings: "nextGroup" } },
    });
  });

  test("around the turning note of another bracket", () => {
    checkRule(unmatchedBracketEnd, "(F4:2 [{]A4:1) G4:2", { fixed: "(F4:2 (A4:1) G4:2)" });
    checkRule(unmatchedBracketEnd, "[{]F4:2 (A4:1 G4:2)", { fixed: "(F4:2 (A4:1) G4:2)" });
  });

  test("either end can be removed", () => {
    checkRule(unmatchedBracketEnd, "[{]C4:3 D4:2 E4:1", { fix: remove, fixed: "C4:3 D4:2 E4:1" });
    checkRule(unmatchedBracketEnd, "C4:3 D4:2 E4:1[}]", { fix: remove, fixed: "C4:3 D4:2 E4:1" });
  });

  test("where no placing begins or ends there is only removal", () => {
    checkRule(unmatchedBracketEnd, "C4/4:2 [{]C4/4:2", { fixed: "C4/4:2 C4/4:2" });
    checkRule(unmatchedBracketEnd, "C4/4:2[}] C4/4:2", { fixed: "C4/4:2 C4/4:2" });
  });

  test("in the left hand, below the staff", () => {
    checkRule(unmatchedBracketEnd, "R: C5/4 // L: [{]C3:4 G3:2 C4:1 r", {
      fixed: "R: C5/4 // L: (C3:4 G3:2 C4:1) r",
    });
  });

  test("several lone ends are reported each", () => {
    checkRule(unmatchedBracketEnd, "C4:3 D4:2 E4:1[}] r/2.5 r/4 r/4 [{]E4:1 D4:2 C4:3");
  });

  test("complete brackets are nothing to report, over a barline or one after the other", () => {
    checkRule(unmatchedBracketEnd, "(C4:2 E4:1) (D4:2 F4:1)");
    checkRule(unmatchedBracketEnd, "r/3 (C4:4 D4:3 E4:2 F4:1)");
  });

  test("a bracket may go on over a system's end, and stop before its start in the order of the text", () => {
    const { text } = tinyScore("(C4:3 D4:2 E4:1) C4:3");
    const second = text.indexOf("<note>", text.indexOf("<note>") + 1);
    const goesOn =
      '<direction placement="above"><direction-type><bracket type="continue" number="1" line-end="none"/></direction-type></direction>';
    checkRule(unmatchedBracketEnd, text.slice(0, second) + goesOn + text.slice(second));
    const stop =
      /<direction placement="above">\s*<direction-type>\s*<bracket type="stop"[\s\S]*?<\/direction>\s*/;
    const [end] = stop.exec(text)!;
    const early = end.replace("</direction-type>", "</direction-type><offset>72</offset>");
    const start = text.indexOf('<direction placement="above">', text.indexOf("</attributes>") + 250);
    const moved = text.replace(stop, "");
    checkRule(unmatchedBracketEnd, moved.slice(0, start) + early + moved.slice(start));
  });

  test("a bracket with no note under it is removed whole", () => {
    const { text } = tinyScore("C4:1 D4:2");
    const note = text.lastIndexOf("      <note>", text.indexOf("<step>D</step>"));
    const ends = ["start", "stop"].map(
      (type) =>
        `      <direction placement="above"><direction-type><bracket type="${type}" number="1" line-end="down"/></direction-type></direction>`,
    );
    const empty = `${text.slice(0, note)}${ends[0]} <!-- expect unmatched-bracket-end -->\n${ends[1]}\n${text.slice(note)}`;
    checkRule(unmatchedBracketEnd, empty, {
      fixed: "C4:1 D4:2",
      message: "A bracket before D4 has no note under it.",
    });
  });

  test("lines for words, and lines without hooks, are no placings", () => {
    const { text } = tinyScore("{C4:1 D4:2");
    checkRule(unmatchedBracketEnd, text.replace('line-end="down"', 'line-end="none"'));
    checkRule(
      unmatchedBracketEnd,
      text.replace(
        /(<bracket [^>]*>\s*<\/direction-type>)/,
        "$1<direction-type><words>rit.</words></direction-type>",
      ),
    );
  });

  test("a bracket that was never stopped takes no stop of another one, bars later", () => {
    // A bracket over grace notes starts and stops at one moment.
    const far = "{C4:2 E4:1 r/3 | r/4 | r/4 | r/4 | r/4 | (~C5:2 ~D5:1) E5:2/4";
    const near = "{C4:2 E4:1 r/3 | (D4:2 F4:1) r/3 | (~C5:2 ~D5:1) E5:2/4";
    for (const notation of [far, near]) {
      const text = tinyScore(notation).text.replace(/(<bracket [^>]*)number="\d+"/g, '$1number="1"');
      const found = findingsOf(analyse(text), unmatchedBracketEnd);
      expect(found.map(({ message }) => message)).toEqual(["A bracket starts before C4 and never stops."]);
    }
  });
});
