import { describe, expect, test } from "vitest";
import type { Finding } from "../../shared/rules/define.ts";
import { type Analysis, analyse } from "../../shared/service/analyse.ts";
import { countFixes, fixAll } from "../../shared/service/fixAll.ts";
import { applyEdits } from "../../shared/text/edits.ts";
import { hasCorpus, noCorpus } from "../support/corpus.ts";
import { type Fault, kinds } from "../support/plantedFaults.ts";
import { type ProofScore, pieces, proofScore } from "../support/proofScore.ts";

/** Faults of one note or chord, which do not reach into each other when some notes lie between. */
const together = ["missing-finger", "finger-outside-range", "same-finger-twice-in-chord", "missing-finger"];
const eventsApart = 14;

/** One fault of each of these kinds after the other, as long as there is room. */
function plantedIn(score: ProofScore): { rule: string; fault: Fault }[] {
  const room = together.map((rule) => ({
    rule,
    faults: kinds.find((kind) => kind.rule === rule)!.places(score),
  }));
  const taken: { rule: string; fault: Fault }[] = [];
  for (let round = 0; round < 40; round += 1) {
    const { rule, faults } = room[round % room.length]!;
    const fault = faults.find((each) =>
      taken.every(
        (other) =>
          other.fault.spot.hand !== each.spot.hand ||
          Math.abs(other.fault.event! - each.event!) >= eventsApart,
      ),
    );
    if (fault) taken.push({ rule, fault });
  }
  return taken;
}

const placeOf = ({ rule, hand, bar, beat }: Partial<Finding>): string => `${rule} ${hand} ${bar} ${beat}`;

function gravePlaces({ findings }: Analysis): string[] {
  return findings
    .filter(({ severity, rule }) => severity !== "info" && !rule.startsWith("passage-"))
    .map(placeOf);
}

describe.skipIf(!hasCorpus)(`many faults in one real piece${hasCorpus ? "" : `: ${noCorpus}`}`, () => {
  test("each is told, and the safe fixes of all of them end and leave the others", {
    timeout: 300_000,
  }, () => {
    const score = proofScore(pieces[3]!);
    const planted = plantedIn(score);
    expect(planted.length).toBeGreaterThan(8);
    const text = applyEdits(
      score.text,
      planted.flatMap(({ fault }) => fault.edits()),
    );
    const faulty = analyse(text, score.settings);
    const before = new Set(gravePlaces(score.analysis));
    const fresh = gravePlaces(faulty).filter((place) => !before.has(place));
    expect(fresh.sort()).toEqual(planted.map(({ rule, fault }) => placeOf({ rule, ...fault.spot })).sort());

    const mended = analyse(applyEdits(text, fixAll(faulty, "safe")), score.settings);
    expect(countFixes(mended, "safe")).toBe(0);
    expect(fixAll(mended, "safe")).toEqual([]);
    const left = gravePlaces(mended).filter((place) => !before.has(place));
    expect(left.sort()).toEqual(fresh.filter((place) => !place.startsWith("missing-finger")).sort());
  });
});
