import { expect, test } from "vitest";
import { attackGuard, readBroken, writeInto } from "../support/attack.ts";
import { hasCorpus } from "../support/corpus.ts";
import { mutated } from "../support/mutations.ts";
import { Dice } from "../support/randomLines.ts";
import { seeds } from "./seeds.ts";

/** Small, so that thousands are tried in the time of a few big ones. */
const all = seeds(12_000);
const copies = hasCorpus ? 12 : 400;

/** Says which copy it was, so that the failure can be made again. */
function at<T>(name: string, seed: number, run: () => T): T {
  try {
    return run();
  } catch (error) {
    throw new Error(`${name}, seed ${seed}: ${error instanceof Error ? error.message : String(error)}`, {
      cause: error,
    });
  }
}

test("broken copies of scores are read without harm, and what can be written into keeps all else", {
  timeout: 300_000,
}, () => {
  let read = 0;
  let written = 0;
  for (const { name, bytes } of all) {
    for (let seed = 1; seed <= copies; seed += 1) {
      at(name, seed, () => {
        const dice = new Dice(seed);
        const found = readBroken(mutated(bytes, dice));
        if (!found) return;
        read += 1;
        if (found.analysis.score.wellFormed && seed % 4 === 0 && writeInto(found, dice)) written += 1;
      });
    }
  }
  expect(read).toBeGreaterThan(1000);
  expect(written).toBeGreaterThan(20);
});

test("no edit beats the guard", { timeout: 300_000 }, () => {
  let passed = 0;
  for (const { name, bytes } of all) {
    at(name, 1, () => {
      const found = readBroken(bytes);
      if (found?.analysis.score.wellFormed)
        passed += attackGuard(found.file.text, new Dice(1), hasCorpus ? 20 : 1000);
    });
  }
  expect(passed).toBeGreaterThan(100);
});
