import { expect, test } from "vitest";
import { analyse } from "../../shared/service/analyse.ts";
import { fixesAt } from "../../shared/service/fixesAt.ts";
import { tinyScore } from "../support/tinyScore.ts";

const { text, marks } = tinyScore("C4:[5] D4 E4 F4:[7]");
const analysis = analyse(text);

test("the fixes of a finding are offered at its edges and inside, and not beside it", () => {
  const [mark] = marks;
  const at = (start: number, end = start): string[] =>
    fixesAt(analysis, { start, end })
      .filter(({ finding }) => finding.rule === "finger-outside-range")
      .map(({ finding }) => text.slice(finding.span.start, finding.span.end));
  const all = analysis.findings.filter(({ rule }) => rule === "finger-outside-range");
  expect(all).toHaveLength(2);
  expect(at(mark!.start)).toHaveLength(all[0]!.fixes.length);
  expect(at(mark!.end)).toEqual(at(mark!.start));
  expect(at(mark!.start + 3)).toEqual(at(mark!.start));
  expect(at(mark!.start - 1)).toEqual([]);
  expect(at(mark!.end + 1)).toEqual([]);
  expect(at(0, text.length)).toHaveLength(all[0]!.fixes.length + all[1]!.fixes.length);
});

test("each offer says where it is kept", () => {
  for (const { finding, fix, findingIndex, fixIndex } of fixesAt(analysis, { start: 0, end: text.length })) {
    expect(analysis.findings[findingIndex]).toBe(finding);
    expect(finding.fixes[fixIndex]).toBe(fix);
  }
});
