import { describe, expect, test } from "vitest";
import { bracketOnOtherSide } from "../../shared/rules/bracketOnOtherSide.ts";
import { analyse } from "../../shared/service/analyse.ts";
import { applyEdits } from "../../shared/text/edits.ts";
import { checkFix, checkRule, findingsOf } from "../support/checkRule.ts";
import { tinyScore } from "../support/tinyScore.ts";

const pairs = "(C4:2 E4:1) (D4:2 F4:1) (E4:2 G4:1) (F4:2 A4:1)";

describe("bracket-on-other-side", () => {
  test("one bracket among many on the other side moves to theirs, hooks and all", () => {
    const notation = `${pairs} | [(^]C4:2 E4:1) r/3`;
    checkRule(bracketOnOtherSide, notation, {
      message:
        "The bracket from C4 to E4 stands below the staff; the other brackets of this voice stand above it.",
      fixed: `${pairs} | (C4:2 E4:1) r/3`,
    });
    const { text } = tinyScore(notation);
    const [finding] = findingsOf(analyse(text), bracketOnOtherSide);
    expect(applyEdits(text, finding!.fixes[0]!.edits())).toBe(tinyScore(`${pairs} | (C4:2 E4:1) r/3`).text);
  });

  test("its place in tenths goes with its side", () => {
    const { text } = tinyScore(`${pairs} | (^C4:2 E4:1) r/3`);
    const placed = text.replace(/(<bracket [^>]*line-end="up")\/>/g, '$1 default-y="-60" relative-x="3"/>');
    const [finding] = findingsOf(analyse(placed), bracketOnOtherSide);
    const fixed = applyEdits(placed, finding!.fixes[0]!.edits());
    expect(fixed).not.toContain("default-y");
    expect(fixed.match(/line-end="down" relative-x="3"\/>/g)).toHaveLength(2);
  });

  /** The messages for a text, once each fix of them is held to its promises. */
  function told(text: string): string[] {
    const analysis = analyse(text);
    const found = findingsOf(analysis, bracketOnOtherSide);
    for (const finding of found) {
      expect(finding.fixes).toHaveLength(1);
      checkFix(analysis, bracketOnOtherSide, finding, finding.fixes[0]!);
    }
    return found.map(({ message }) => message);
  }

  test("a bracket that starts on one side and stops on the other", () => {
    const { text } = tinyScore("(C4:2 E4:1) r/3");
    const stop = text.lastIndexOf('<direction placement="above">');
    const mixed = text.slice(0, stop) + text.slice(stop).replace("above", "below");
    expect(told(mixed)).toEqual(["The bracket from C4 to E4 starts above the staff and stops below it."]);
  });

  test("each voice and each hand has its own side", () => {
    checkRule(bracketOnOtherSide, `R: ${pairs} // L: (C3:2 E3:1) r/3`);
    checkRule(bracketOnOtherSide, `R: ${pairs} | (E5:2 G5:1) r/3 // R: r/4 | (^C4:2 E4:1) r/3`);
  });

  test("few brackets, or many on either side, show no style", () => {
    checkRule(bracketOnOtherSide, "(C4:2 E4:1) (D4:2 F4:1) (^C4:2 E4:1) r");
    checkRule(bracketOnOtherSide, `${pairs} | (^C4:2 E4:1) (^C4:2 E4:1) r/2`);
  });

  test("with its digits it may stand between the staves", () => {
    const { text } = tinyScore(`${pairs} | (^C4:2 E4:1) r/3`);
    const bar = text.indexOf('<measure number="2">');
    const between =
      text.slice(0, bar) +
      text.slice(bar).replace(/<fingering placement="above">/g, '<fingering placement="below">');
    checkRule(bracketOnOtherSide, between);
  });

  test("a bracket that names a voice without notes under it", () => {
    const { text } = tinyScore("R: (E5:2 G5:1) r/3 // R: r/4 | C4/4");
    const start = text.indexOf("<bracket ");
    const other = text.slice(0, start) + text.slice(start).replace("<voice>1</voice>", "<voice>2</voice>");
    expect(told(other)).toEqual(["The bracket from E5 to G5 is given to voice 2, its notes are of voice 1."]);
  });

  test("where voices cross under a bracket it belongs to one of them", () => {
    checkRule(bracketOnOtherSide, "R: (E5:3 r G5:1) r/2.5 // R: r F5:2 r/3");
  });
});
