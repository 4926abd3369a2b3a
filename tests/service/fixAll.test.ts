import { expect, test } from "vitest";
import { guardedText } from "../../shared/musicxml/guard.ts";
import { analyse } from "../../shared/service/analyse.ts";
import { countFixes, fixAll } from "../../shared/service/fixAll.ts";
import { applyEdits } from "../../shared/text/edits.ts";
import { demoText } from "../support/demo.ts";
import { tinyScore } from "../support/tinyScore.ts";

test("all safe repairs are made, none is left, and doing it again changes nothing", () => {
  for (const text of [
    demoText("lantern-waltz"),
    demoText("evening-tide"),
    tinyScore("{C4:2 D4:1 E4:7").text,
  ]) {
    const analysis = analyse(text);
    const edits = fixAll(analysis, "safe");
    const after = guardedText(text, edits);
    expect(countFixes(analyse(after), "safe")).toBe(0);
    expect(edits.length > 0).toBe(countFixes(analysis, "safe") > 0);
    expect(fixAll(analyse(after), "safe")).toEqual([]);
  }
});

test("all findings of one rule are repaired in one go, those of other rules are left", () => {
  const { text } = tinyScore("C4:5 D4:4 E4:7 F4:1 {G4:2 A4:1");
  const analysis = analyse(text);
  const rule = "finger-outside-range";
  const wrong = analysis.findings.filter((finding) => finding.rule === rule);
  expect(wrong).toHaveLength(2);
  const choice = { rule, title: wrong[0]!.fixes[0]!.title };
  expect(countFixes(analysis, choice)).toBe(2);
  const after = analyse(applyEdits(text, fixAll(analysis, choice)));
  expect(after.findings.filter((finding) => finding.rule === rule)).toEqual([]);
  expect(after.text).toContain('<bracket type="start"');
  expect(fixAll(analysis, { rule, title: "no such repair" })).toEqual([]);
});
