import { afterAll, describe, expect, test } from "vitest";
import type { FingeringLine, Solution } from "../../shared/fingering/model.ts";
import { solve } from "../../shared/fingering/solve.ts";
import { solveTogether } from "../../shared/fingering/solveTogether.ts";
import { defaultWeights } from "../../shared/fingering/weights.ts";
import { searchLine } from "../../shared/fingering/written.ts";
import { decodeScoreFile } from "../../shared/musicxml/scoreFile.ts";
import { analyse } from "../../shared/service/analyse.ts";
import { InputError } from "../../shared/text/problem.ts";
import { type CorpusFile, corpusFiles, hasCorpus, noCorpus } from "../support/corpus.ts";
import { Evaluator } from "../support/evaluator.ts";
import { disturbance } from "../support/twoHands.ts";

/** What real music costs when each hand is fingered by itself, and when both are together; in thousandths. */
interface Compared {
  readonly path: string;
  readonly events: number;
  readonly apart: number;
  readonly together: number;
}

const compared: Compared[] = [];

describe.skipIf(!hasCorpus)(
  `both hands of real music${hasCorpus ? "" : `: ${noCorpus}`}`,
  { timeout: 300_000 },
  () => {
    test("cost what adding up from scratch gives, and no more than each hand's own best", () => {
      for (const file of corpusFiles()) {
        const [right, left] = linesOf(file);
        if (!right || !left) continue;
        const found = solveTogether(right, left, defaultWeights);
        const together = addedUp(right, found.right, left, found.left);
        expect(together, file.path).toBe(found.totalMilli);
        const apart = addedUp(right, solve(right, defaultWeights), left, solve(left, defaultWeights));
        expect(together, file.path).toBeLessThanOrEqual(apart);
        compared.push({ path: file.path, events: right.events.length + left.events.length, apart, together });
      }
      expect(compared.length).toBeGreaterThan(50);
    });

    afterAll(() => {
      const better = compared.filter(({ apart, together }) => together < apart);
      const lines = better
        .sort((a, b) => b.apart - b.together - (a.apart - a.together))
        .slice(0, 12)
        .map(
          ({ path, events, apart, together }) =>
            `  ${path}, ${events} events: ${apart / 1000} apart, ${together / 1000} together`,
        );
      process.stdout.write(
        `both hands: ${compared.length} pieces; together is better in ${better.length}, most in\n${lines.join("\n")}\n`,
      );
    });
  },
);

/** The harp's hands, or those of the first part; what a hand has no finger for is left out. */
function linesOf(file: CorpusFile): (FingeringLine | undefined)[] {
  let text: string;
  try {
    ({ text } = decodeScoreFile(file.bytes()));
  } catch (error) {
    if (error instanceof InputError) return [];
    throw error;
  }
  let analysis = analyse(text);
  const [first] = analysis.score.parts;
  if (!analysis.harp && first) analysis = analyse(text, { part: first.id });
  return (["right", "left"] as const).map((name) => {
    const hand = analysis.hands.find(({ line }) => line.hand === name);
    if (!hand) return undefined;
    const line = searchLine(hand.line);
    const events = line.events.map((event) => ({
      ...event,
      strings: name === "right" ? event.strings.slice(-4) : event.strings.slice(0, 4),
      // The second opinion knows no jumps.
      cutBefore: false,
    }));
    return { hand: name, events };
  });
}

function addedUp(right: FingeringLine, a: Solution, left: FingeringLine, b: Solution): number {
  const own = [new Evaluator(right).whole(a.placings), new Evaluator(left).whole(b.placings)];
  expect(own.flatMap(({ faults }) => faults)).toEqual([]);
  return own[0]!.totalMilli + own[1]!.totalMilli + disturbance(right, a.placings, left, b.placings);
}
