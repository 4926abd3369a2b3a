import { choicesFrom } from "./choices.ts";
import { LineCosts, type PlacingChoice, total } from "./costs.ts";
import type { FingeringLine } from "./model.ts";
import type { Weights } from "./weights.ts";

/** The placings of one hand's line and what each costs by itself; what decisions cost comes on top. */
export class LineTable {
  readonly costs: LineCosts;
  /** choices[i]: the placings that begin at event i. */
  readonly choices: readonly (readonly PlacingChoice[])[];
  /** milli[i][b]: what choices[i][b] costs, in thousandths. */
  readonly milli: readonly (readonly number[])[];

  constructor(line: FingeringLine, weights: Weights) {
    const costs = new LineCosts(line, weights);
    this.costs = costs;
    this.choices = costs.strings.map((_, first) => choicesFrom(costs, first));
    this.milli = this.choices.map((choices) =>
      choices.map((choice) => total((charge) => costs.placing(choice, charge))),
    );
  }
}
