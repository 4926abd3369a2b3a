import { expect, test } from "vitest";
import { AnalysedDocuments } from "../../server/lsp/analysedDocuments.ts";
import { clientFeatures } from "../../server/lsp/features.ts";
import { OpenDocument } from "../../server/lsp/state.ts";
import type { Analysis } from "../../shared/service/analyse.ts";
import { demoText } from "../support/demo.ts";

const blanks = " ".repeat(1_200_000);

/** A score of more than a million characters. */
function document(name: string, kept: AnalysedDocuments): OpenDocument {
  const text = demoText("lantern-waltz") + blanks;
  const item = { uri: `file:///${name}.musicxml`, languageId: "musicxml", version: 1, text };
  return new OpenDocument(item, clientFeatures({}), undefined, (analysed) => kept.touch(analysed));
}

test("the analyses of the documents that were asked about last are kept, and none at rest", async () => {
  let rests = 0;
  const kept = new AnalysedDocuments(() => {
    rests += 1;
  }, 400);
  const [a, b, c] = ["a", "b", "c"].map((name) => document(name, kept)) as [
    OpenDocument,
    OpenDocument,
    OpenDocument,
  ];
  const analyses = new Map<OpenDocument, Analysis>();
  const isKept = (one: OpenDocument): boolean => {
    const before = analyses.get(one);
    analyses.set(one, one.analysis!);
    return before === one.analysis;
  };
  expect([a, b].map(isKept)).toEqual([false, false]);
  expect([a, b].map(isKept)).toEqual([true, true]);
  // The third is one too many: the one that was not asked about the longest makes room.
  expect([c, b, a].map(isKept)).toEqual([false, true, false]);
  await expect.poll(() => rests).toBe(1);
  expect(isKept(a)).toBe(false);
});
