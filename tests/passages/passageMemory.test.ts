import { isDeepStrictEqual } from "node:util";
import { expect, test } from "vitest";
import { findPassages } from "../../shared/passages/findPassages.ts";
import { PairSet } from "../../shared/passages/pairSet.ts";
import { PassageMemory } from "../../shared/passages/passageMemory.ts";
import { findHarp } from "../../shared/score/findHarp.ts";
import { handLines } from "../../shared/score/handLines.ts";
import { readScore } from "../../shared/score/readScore.ts";
import { demoText } from "../support/demo.ts";
import { largeScore } from "../support/largeScore.ts";
import { Dice } from "../support/randomLines.ts";

/** What is changed in a text: a string, a length, a note left out, a finger. */
const kinds = [
  /<octave>\d(?=<)/g,
  /<duration>\d(?=<)/g,
  /<note[ >](?:(?!<\/note>)[\s\S])*<\/note>/g,
  /<fingering[^>]*>\d(?=<)/g,
];

function changed(text: string, dice: Dice): string {
  const pattern = dice.oneOf(kinds);
  const found = [...text.matchAll(pattern)];
  if (found.length === 0) return text;
  const { index, 0: old } = dice.oneOf(found);
  const put = old.startsWith("<note") ? "" : `${old.slice(0, -1)}${dice.whole(1, 5)}`;
  return text.slice(0, index) + put + text.slice(index + old.length);
}

test.each([
  ["a demo", demoText("lantern-waltz"), 12],
  ["a demo over and over", largeScore(150_000), 8],
])("what comes back in %s is the same with a memory of earlier readings, edit by edit", (_, first, edits) => {
  const dice = new Dice(17);
  const memory = new PassageMemory();
  let text = first;
  for (let i = 0; i < edits; i += 1) {
    const before = text;
    text = changed(text, dice);
    // Now and then an edit is taken back.
    for (const version of dice.chance(0.3) ? [text, before, text] : [text]) {
      const { score } = readScore(version);
      const lines = handLines(score, findHarp(score));
      const anew = findPassages(lines, score);
      const remembered = memory.passages(lines, score, () => findPassages(lines, score));
      // Quicker than a matcher that would tell where they differ.
      expect(isDeepStrictEqual(remembered, anew), `after edit ${i}`).toBe(true);
    }
  }
});

test("a set of pairs holds what was added, and nothing else", () => {
  const dice = new Dice(23);
  const pairs = new PairSet();
  const known = new Set<string>();
  for (let i = 0; i < 3_000; i += 1) {
    const [a, b] = [dice.whole(0, 200), dice.whole(0, 300)];
    expect(pairs.has(a, b)).toBe(known.has(`${a} ${b}`));
    if (dice.chance(0.5)) continue;
    pairs.add(a, b);
    known.add(`${a} ${b}`);
    expect(pairs.size).toBe(known.size);
  }
});
