import { expect, test } from "vitest";
import { FoundTexts } from "../../server/lsp/foundTexts.ts";
import type { Found } from "../../server/lsp/threadWork.ts";
import { decodeScoreFile } from "../../shared/musicxml/scoreFile.ts";
import { gather } from "../../shared/rules/gather.ts";
import { analyse } from "../../shared/service/analyse.ts";
import { AnalysisMemory } from "../../shared/service/analysisMemory.ts";
import { corpusFile, hasCorpus, noCorpus } from "../support/corpus.ts";
import { demoText } from "../support/demo.ts";
import { Dice } from "../support/randomLines.ts";

const blanks = ["", " ", "\n", "\t ", "\r\n", "\n\n    "];

function foundAnew(text: string, memory?: AnalysisMemory): Found {
  const { problems, findings, unmatched } = analyse(text, {}, memory);
  return { problems, findings: gather(findings).map(({ fixes: _, ...each }) => each), unmatched };
}

/** A stretch of blanks somewhere between two characters, or a place for some, becomes another. */
function blanksTyped(dice: Dice, text: string): string {
  const from = dice.whole(1, text.length - 2);
  const at = dice.chance(0.8) ? text.indexOf(">", from) + 1 || from : from;
  let end = at;
  while (/\s/.test(text[end] ?? "") && dice.chance(0.8)) end += 1;
  return text.slice(0, at) + dice.oneOf(blanks) + text.slice(end);
}

const realScore = "lieder/Brahms_O_komme__holde_Sommernacht_lc5098705.mxl";

const scores: readonly (readonly [name: string, text: () => string, isThere: boolean])[] = [
  ["a demo", () => demoText("lantern-waltz").replaceAll(/<fingering([^>]*)>[23]</g, "<fingering$1>5<"), true],
  ["a real file", () => decodeScoreFile(corpusFile(realScore)).text, hasCorpus],
];

for (const [name, textOf, isThere] of scores) {
  test.skipIf(!isThere)(
    `blanks typed anywhere in ${name} change nothing that is found, read anew or not${isThere ? "" : ` (${noCorpus})`}`,
    () => {
      const dice = new Dice(7);
      const texts = new FoundTexts();
      let text = textOf();
      const memory = new AnalysisMemory();
      let readAnew = 0;
      let moved = 0;
      const before = texts.of(text, {}, () => foundAnew(text));
      expect(before.findings.length).toBeGreaterThan(0);
      const rounds = 30;
      for (let round = 0; round < rounds; round += 1) {
        text = blanksTyped(dice, text);
        let isRead = false;
        const found = texts.of(text, {}, () => {
          isRead = true;
          return foundAnew(text, memory);
        });
        if (isRead) readAnew += 1;
        else if (round % 3 === 0) {
          moved += 1;
          expect(found).toEqual(foundAnew(text));
        }
      }
      expect(moved).toBeGreaterThan(2);
      expect(readAnew).toBeLessThan(rounds);
    },
  );
}

test("a text that comes again is not read again, unless its settings are others", () => {
  const texts = new FoundTexts();
  let readings = 0;
  const find = (): Found => {
    readings += 1;
    return { problems: [], findings: [], unmatched: [] };
  };
  const found = texts.of("a", {}, find);
  texts.of("b", {}, find);
  expect(texts.of("a", {}, find)).toBe(found);
  texts.of("b", {}, find);
  expect(readings).toBe(2);
  texts.of("b", { tempo: 60 }, find);
  expect(readings).toBe(3);
  texts.of("c", {}, find);
  texts.of("d", {}, find);
  texts.of("a", {}, find);
  expect(readings).toBe(6);
});
