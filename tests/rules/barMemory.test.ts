import { expect, test } from "vitest";
import { duplicateId } from "../../shared/rules/duplicateId.ts";
import { BarMemory } from "../../shared/rules/support/barMemory.ts";
import { analyse } from "../../shared/service/analyse.ts";
import { AnalysisMemory } from "../../shared/service/analysisMemory.ts";
import { findingsOf } from "../support/checkRule.ts";
import { tinyScore } from "../support/tinyScore.ts";

test("only bars from the first to the last changed are looked through", () => {
  const memory = new BarMemory<string>();
  const lookedThrough = (bars: string): string => {
    let found = "";
    const answers = memory.answers([...bars], (bar) => {
      found += bar;
      return bar.toUpperCase();
    });
    expect(answers.join("")).toBe(bars.toUpperCase());
    return found;
  };
  expect(lookedThrough("abcde")).toBe("abcde");
  expect(lookedThrough("abcde")).toBe("");
  expect(lookedThrough("abxde")).toBe("x");
  expect(lookedThrough("abxxde")).toBe("x");
  expect(lookedThrough("abde")).toBe("");
  expect(lookedThrough("cde")).toBe("c");
  expect(lookedThrough("")).toBe("");
  expect(lookedThrough("aa")).toBe("aa");
});

test("an id is found twice in whatever bar it is written, as in a reading of its own", () => {
  const memory = new AnalysisMemory();
  for (const notes of ["C4=a/4 | D4=b/4 | E4=c/4", "C4=a/4 | D4=c/4 | E4=c/4", "C4=a/4 | D4=c/4 | E4=a/4"]) {
    const { text } = tinyScore(notes);
    const found = findingsOf(analyse(text, {}, memory), duplicateId);
    expect(found).toEqual(findingsOf(analyse(text), duplicateId));
    expect(found).toHaveLength(notes.includes("=b") ? 0 : 1);
  }
});
