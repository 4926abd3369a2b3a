import { beforeAll, describe, expect, test } from "vitest";
import type { Finding } from "../../shared/rules/define.ts";
import { rules } from "../../shared/rules/registry.ts";
import { analyse } from "../../shared/service/analyse.ts";
import { applyEdits, type Edit } from "../../shared/text/edits.ts";
import { hasCorpus, noCorpus } from "../support/corpus.ts";
import { type Fault, type Kind, kinds } from "../support/plantedFaults.ts";
import { type ProofScore, pieces, proofScore } from "../support/proofScore.ts";
import { Dice } from "../support/randomLines.ts";

/** They compare places of a passage, and tell of the first. */
const comparing = new Set([
  "passage-fingered-otherwise",
  "passage-bracketed-otherwise",
  "shifted-figure-fingered-otherwise",
]);

const severityOf = new Map(rules.map(({ id, severity }) => [id, severity]));

test("there is a fault of every kind that is told of", () => {
  expect(kinds.map(({ rule }) => rule).sort()).toEqual(rules.map(({ id }) => id).sort());
});

describe.skipIf(!hasCorpus)(`faults planted into real pieces${hasCorpus ? "" : `: ${noCorpus}`}`, () => {
  const scores: ProofScore[] = [];
  const told = new Map<ProofScore, number>();

  beforeAll(() => {
    for (const piece of pieces) scores.push(proofScore(piece));
  }, 600_000);

  const numbered = kinds.map((kind, i) => [kind.rule, kind, i] as const);

  test.each(numbered)("%s", { timeout: 300_000 }, (_, kind, number) => {
    // Each kind tries another piece first.
    for (let i = 0; i < scores.length; i += 1) {
      const at = (number + i) % scores.length;
      const score = kind.known ? scores[at]!.knowing(kind.known) : scores[at]!;
      const faults = kind.places(score);
      if (faults.length === 0) continue;
      expect(wrongWith(kind, score, new Dice(7).oneOf(faults)), pieces[at]!.path).toEqual([]);
      told.set(scores[at]!, (told.get(scores[at]!) ?? 0) + 1);
      return;
    }
    expect.fail("no piece has a place for it");
  });

  test("each piece has its share of them", () => {
    for (const [i, score] of scores.entries())
      expect(told.get(score) ?? 0, pieces[i]!.path).toBeGreaterThan(0);
  });
});

/**
 * What is told of a planted fault but once at its note, in sentences. That the passage is now unlike another of its
 * places is true, and what is worth knowing does no harm.
 */
function wrongWith({ rule }: Kind, score: ProofScore, { spot, event, edits, clean }: Fault): string[] {
  const before = clean ? findingsWith(score, clean()) : score.analysis.findings;
  const known = new Set(before.map(keyOf));
  const fresh = findingsWith(score, edits()).filter((finding) => !known.has(keyOf(finding)));
  const own = fresh.filter((finding) => finding.rule === rule);
  // Of two places that differ either may be the faulty one: both are named.
  const isNamed = ({ places }: Finding): boolean =>
    comparing.has(rule) &&
    places.some(({ hand, first, last }) => hand === spot.hand && first <= event! && event! <= last);
  const isThere = ({ hand, bar, beat }: Finding): boolean =>
    hand === spot.hand && bar === spot.bar && beat === spot.beat;
  const isRight = (finding: Finding): boolean =>
    finding.severity === severityOf.get(rule) && (isThere(finding) || isNamed(finding));
  const others = fresh.filter(
    (finding) => finding.rule !== rule && finding.severity !== "info" && !finding.rule.startsWith("passage-"),
  );
  return [
    ...(own.length === 1 ? [] : [`told ${own.length} times, not once, for ${keyOf(spot)}`]),
    ...own
      .filter((finding) => !isRight(finding))
      .map((finding) => `not for ${keyOf(spot)}: ${keyOf(finding)}`),
    ...others.map((finding) => `besides: ${keyOf(finding)}`),
  ];
}

function findingsWith({ text, settings }: ProofScore, edits: readonly Edit[]): readonly Finding[] {
  return analyse(applyEdits(text, edits), settings).findings;
}

function keyOf({ rule, severity, hand, bar, beat, message }: Partial<Finding>): string {
  return `${severity ?? ""} ${rule ?? ""} ${hand} hand, bar ${bar}, beat ${beat}: ${message ?? ""}`;
}
