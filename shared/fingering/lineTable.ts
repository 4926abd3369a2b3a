import { choicesFrom } from "./choices.ts";
import { isCrossable, LineCosts, lastFinger, type PlacingChoice, total } from "./costs.ts";
import { keptPlacings } from "./keptPlacings.ts";
import { LockCheck } from "./locks.ts";
import type { FingeringLine } from "./model.ts";
import type { Weights } from "./weights.ts";

/** The placings of one hand's line and what each costs by itself; what decisions cost comes on top. */
export class LineTable {
  readonly costs: LineCosts;
  /** choices[i]: the placings that begin at event i. */
  readonly choices: readonly (readonly PlacingChoice[])[];
  /** No placing is left out. */
  readonly isWhole: boolean;
  /** No fingering breaks fewer decisions; 0 with all placings, where this was not looked for. */
  readonly leastBroken: number;
  /** milli[i][b]: what choices[i][b] costs, in thousandths. */
  readonly milli: readonly (readonly number[])[];
  /** future[i][b]: placings with the same number cost the same from their last event on, whatever follows. */
  readonly future: readonly (readonly number[])[];
  readonly #crossAtMostSteps: number;
  /** The decisions by which placings were left out; none with all placings, which other decisions may share. */
  readonly #locks: LockCheck | undefined;

  /** @param extent all placings, or those of fingerings that break as few decisions as any; see `isExact`. */
  constructor(line: FingeringLine, weights: Weights, extent: "all" | "kept" = "all") {
    const costs = new LineCosts(line, weights);
    this.costs = costs;
    this.#crossAtMostSteps = weights.crossAtMostSteps;
    const all = costs.strings.map((_, first) => choicesFrom(costs, first));
    this.#locks = extent === "kept" ? new LockCheck(line, costs) : undefined;
    const kept = this.#locks?.hasDecisions ? keptPlacings(all, this.#locks) : undefined;
    this.isWhole = kept === undefined;
    this.choices = kept?.choices ?? all;
    this.leastBroken = kept?.leastBroken ?? 0;
    this.milli = this.choices.map((choices) =>
      choices.map((choice) => total((charge) => costs.placing(choice, charge))),
    );
    this.future = this.choices.map((choices) => choices.map((choice) => this.#futureOf(choice)));
  }

  /** What placings break of the decisions of a line with these events. */
  locksOf(line: FingeringLine): LockCheck {
    return this.#locks ?? new LockCheck(line, this.costs);
  }

  /** What can still matter of a placing once it has begun: where it ends, and what its last finger allows there. */
  #futureOf(choice: PlacingChoice): number {
    const { strings } = this.costs;
    const { first, last, direction } = choice;
    const here = strings[last]!;
    const next = strings[last + 1];
    const perEvent = 1024;
    if (!next) return last * perEvent;
    if (this.costs.shareString(last, last + 1)) return last * perEvent + 1 + digitsOn(choice, here);
    if (here.length > 1) return last * perEvent;
    const rises = next[0]! > here[0]!;
    const turns = first < last && direction !== (rises ? "rising" : "falling");
    const crosses = isCrossable(here, next, this.#crossAtMostSteps);
    if (!turns && !crosses) return last * perEvent;
    return last * perEvent + 700 + 4 * lastFinger(choice) + directions.indexOf(direction);
  }
}

const directions = ["together", "rising", "falling"] as const;

/** The fingers on these strings as one number: four fingers of five values. */
function digitsOn(choice: PlacingChoice, strings: readonly number[]): number {
  const from = choice.strings.indexOf(strings[0]!);
  let digits = 0;
  for (let i = 0; i < strings.length; i += 1) digits = digits * 5 + choice.fingers[from + i]!;
  return digits;
}
