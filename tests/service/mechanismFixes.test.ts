import { describe, expect, test } from "vitest";
import { harpPreset } from "../../shared/harp/instruments.ts";
import { applyEdits, check, readScore } from "../../shared/library/library.ts";
import { GuardError, guardedText } from "../../shared/musicxml/guard.ts";
import { analyse } from "../../shared/service/analyse.ts";
import { fixAll } from "../../shared/service/fixAll.ts";
import { panelEdits } from "../../shared/service/panelChange.ts";
import { tinyScore } from "../support/tinyScore.ts";

const settings = { instrument: { harp: harpPreset("pedal-47")! } };
const { text } = tinyScore("F4/1 <F ♯>F#4/1 C4/1 F4/1 | <F ♯>F#4/1 C4/1 F4/1 C4/1");

describe("repairs of marks of pedals come with their permission", () => {
  const analysis = analyse(text, settings);
  const wrong = analysis.findings.findIndex(({ rule }) => rule === "change-not-marked");

  test("through the panel", () => {
    const { label, edits, permission } = panelEdits(analysis, { kind: "fix", finding: wrong, fix: 0 });
    expect(label).toBe("Write the change where it is made");
    expect(guardedText(text, edits, permission)).toContain("<words>F♮</words>");
    expect(() => guardedText(text, edits)).toThrow(GuardError);
  });

  test("all of one kind at once; none of them is made without being asked for", () => {
    const { fixes, rule } = analysis.findings[wrong]!;
    const [{ title, permission }] = fixes as [(typeof fixes)[number]];
    const edits = fixAll(analysis, { rule, title });
    const fixed = guardedText(text, edits, permission);
    expect(fixed.match(/<words>F♮<\/words>/g)).toHaveLength(2);
    expect(analyse(fixed, settings).findings.filter((finding) => finding.rule === rule)).toEqual([]);
    expect(applyAll(fixAll(analysis, "safe"))).not.toContain("F♮");
  });

  test("through the library", () => {
    const score = readScore(text, { harp: "pedal-47" });
    const found = check(score).findings.find(({ rule }) => rule === "change-not-marked");
    expect(applyEdits(score, found!.fixes[0]!.edits())).toContain("<words>F♮</words>");
  });

  const applyAll = (edits: Parameters<typeof guardedText>[1]): string => guardedText(text, edits);
});
