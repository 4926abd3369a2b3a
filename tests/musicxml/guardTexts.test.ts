import { describe, expect, test } from "vitest";
import { GuardError } from "../../shared/musicxml/guard.ts";
import { guardedReplacement } from "../../shared/musicxml/guardTexts.ts";
import { analyse } from "../../shared/service/analyse.ts";
import { fingerScore } from "../../shared/service/fingerScore.ts";
import { applyEdits } from "../../shared/text/edits.ts";
import { demoText } from "../support/demo.ts";

const original = demoText("millrace-reel");

describe("a whole text in the place of another", () => {
  test("is let through when fingering and brackets differ in many measures", () => {
    const fingered = applyEdits(original, fingerScore(analyse(original), { mode: "keep" }).edits);
    expect(fingered.length).toBeGreaterThan(original.length + 1000);
    expect(guardedReplacement(original, fingered)).toBe(fingered);
    expect(guardedReplacement(fingered, original)).toBe(original);
  });

  test("is let through when nothing differs", () => {
    expect(guardedReplacement(original, original)).toBe(original);
  });

  test.each([
    ["a pitch", (text: string) => text.replace("<step>D</step>", "<step>E</step>")],
    ["a title", (text: string) => text.replace("<work-title>", "<work-title>The ")],
    ["a note that is gone", (text: string) => text.replace(/<note[\s\S]*?<\/note>/, "")],
    ["a measure that is gone", (text: string) => text.replace(/<measure[\s\S]*?<\/measure>/, "")],
    ["a blank before the root", (text: string) => text.replace("<score-partwise", " <score-partwise")],
    ["an end that is missing", (text: string) => text.slice(0, -20)],
    ["an attribute of a measure", (text: string) => text.replace(/<measure /, '<measure width="7" ')],
  ])("is refused for %s", (_, change) => {
    const next = change(original);
    expect(next).not.toBe(original);
    expect(() => guardedReplacement(original, next)).toThrow(GuardError);
  });
});
