import { describe, expect, test } from "vitest";
import { setFingering } from "../../shared/musicxml/fingeringEdits.ts";
import { defineRule, type Fix, type Rule, type RuleInput } from "../../shared/rules/define.ts";
import type { Note } from "../../shared/score/model.ts";
import { checkRule } from "./checkRule.ts";
import { treeOutsideFingering } from "./treeOutsideFingering.ts";

const title = "Write 1";

/** Reports every finger 9; its one fix is given. */
function ruleWith(edits: (input: RuleInput, note: Note) => ReturnType<Fix["edits"]>): Rule {
  return defineRule({
    id: "nines",
    severity: "warning",
    summary: "A nine.",
    why: "For a test.",
    bad: "C4:9",
    good: "C4:1",
    fixes: [{ title, safety: "ask" }],
    check(input, report) {
      for (const hand of input.hands) {
        hand.line.events.forEach((entry, event) => {
          const { note } = entry.notes[0]!;
          const nine = note.fingerings.find(({ text }) => text === "9");
          if (!nine) return;
          const fix: Fix = { title, safety: "ask", edits: () => edits(input, note) };
          report({ span: nine.span, message: "Nine.", at: { hand, event }, fixes: [fix] });
        });
      }
    },
  });
}

const sound = ruleWith(({ text }, { site }) => [setFingering(text, site, "1", "above")!]);

describe("a rule is held to its word", () => {
  test("a sound rule passes", () => {
    checkRule(sound, "C4:[9] D4:2", { fixed: "C4:1 D4:2", message: "Nine." });
    checkRule(sound, "C4:1 D4:2");
  });

  test("each place counts, by staff and span", () => {
    expect(() => checkRule(sound, "C4:9 D4:2")).toThrow("what is found");
    expect(() => checkRule(sound, "C4:[9] D4:[2]")).toThrow("what is found");
    expect(() => checkRule(sound, "[C4:9] D4:2")).toThrow("what is found");
  });

  test("so do severity, message and result", () => {
    expect(() => checkRule(sound, "C4:[9]", { severity: "error" })).toThrow();
    expect(() => checkRule(sound, "C4:[9]", { message: "Ten." })).toThrow();
    expect(() => checkRule(sound, "C4:[9]", { fixed: "C4:2" })).toThrow(title);
    expect(() => checkRule(sound, "C4:[9]", { fix: "Another", fixed: "C4:1" })).toThrow("no fix");
  });

  test.each<[string, Rule]>([
    ["it changes something", ruleWith(() => [])],
    [
      "its finding is gone",
      ruleWith((_, { site }) => [{ span: site.startTag, text: '<note color="#000000">' }]),
    ],
    ["the music stays", ruleWith(({ text }) => [{ span: spanOf(text, "<octave>4"), text: "<octave>5" }])],
    ["well-formed", ruleWith((_, { site }) => [{ span: site.startTag, text: "" }])],
  ])("a fix must keep its promise: %s", (_, rule) => {
    expect(() => checkRule(rule, "C4:[9]")).toThrow();
  });

  test("a fix must keep its promise: nothing new is found", () => {
    const two = ruleWith(({ text }, { site }) => [setFingering(text, site, "2", "above")!]);
    checkRule(two, "C4:[9]+E4:1");
    expect(() => checkRule(two, "C4:[9]+E4:2")).toThrow("nothing new");
  });

  test("a fix that answers otherwise each time is found out", () => {
    let turn = 0;
    const fickle = ruleWith(({ text }, { site }) => [
      setFingering(text, site, String((turn++ % 4) + 1), "above")!,
    ]);
    expect(() => checkRule(fickle, "C4:[9]")).toThrow("asked twice");
  });

  test("whole texts carry the mark on the line", () => {
    const score = (mark: string): string =>
      `<score-partwise><part-list><score-part id="P1"><part-name>Harp</part-name></score-part></part-list>
<part id="P1"><measure number="1"><attributes><divisions>1</divisions></attributes>
<note><pitch><step>C</step><octave>4</octave></pitch><duration>1</duration><notations><technical>
<fingering>9</fingering>${mark}
</technical></notations></note></measure></part></score-partwise>`;
    checkRule(sound, score(" <!-- expect nines -->"));
    expect(() => checkRule(sound, score(""))).toThrow("lines with findings");
  });
});

describe("the tree outside fingering", () => {
  const tree = (inside: string): unknown => treeOutsideFingering(`<note><pitch/>${inside}</note>`);

  test("leaves out fingerings, brackets, and wrappers that hold nothing else", () => {
    expect(tree("<notations><technical><fingering>1</fingering></technical></notations>")).toEqual(tree(""));
    expect(
      tree('<direction><direction-type><bracket type="start"/></direction-type><staff>1</staff></direction>'),
    ).toEqual(tree(""));
  });

  test("keeps all else", () => {
    expect(tree("<notations><technical><harmonic/></technical></notations>")).not.toEqual(tree(""));
    expect(tree("<direction><direction-type><words>x</words></direction-type></direction>")).not.toEqual(
      tree(""),
    );
    expect(tree('<notations><slur type="start"/></notations>')).not.toEqual(
      tree('<notations><slur type="stop"/></notations>'),
    );
  });
});

function spanOf(text: string, part: string): { start: number; end: number } {
  const start = text.indexOf(part);
  return { start, end: start + part.length };
}
