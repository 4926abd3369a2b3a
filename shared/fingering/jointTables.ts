import { Coupling } from "./coupling.ts";
import { HandTable, type TableState } from "./handTable.ts";
import type { LineTable } from "./lineTable.ts";
import type { FingeringLine } from "./model.ts";
import { StepPlan } from "./stepPlan.ts";
import type { Weights } from "./weights.ts";

/** The next event of one hand, in order of time; of two at one time the right hand's comes first. */
export interface Step {
  readonly hand: 0 | 1;
  readonly event: number;
  /** The other hand's event before it; −1 before its first. */
  readonly beside: number;
}

/** What a step offers to one hand, and what that meets in each state of the other hand. */
export interface Offer {
  readonly plan: StepPlan;
  readonly meeting: Meeting;
  /** How many states the other hand can be in. */
  readonly besideCount: number;
  /** Room for the decision in each pair of states. */
  readonly decisions: Uint8Array;
}

/** What a search of two hands looks at, step by step: the same whatever is decided. */
export class JointTables {
  /** The right hand's first. */
  readonly tables: readonly [HandTable, HandTable];
  readonly steps: readonly Step[];
  /** Room for what is to come in each pair of states, before and after a step. */
  readonly costs: readonly [Float64Array, Float64Array];
  readonly #coupling: Coupling;
  readonly #kept: Offer[] | undefined;

  /**
   * @param placings of both lines.
   * @param keep     whether offers are kept for further searches; that takes some ten kilobytes a step.
   */
  constructor(
    [right, left]: readonly [FingeringLine, FingeringLine],
    placings: readonly [LineTable, LineTable],
    weights: Weights,
    keep: boolean,
  ) {
    this.tables = [
      new HandTable(right, left, weights, placings[0]),
      new HandTable(left, right, weights, placings[1]),
    ];
    this.steps = stepsOf(this.tables);
    const most = mostPairs(this.tables, this.steps);
    this.costs = [new Float64Array(most), new Float64Array(most)];
    this.#coupling = new Coupling(weights);
    this.#kept = keep ? [] : undefined;
  }

  /** What step k offers. */
  offer(k: number): Offer {
    const offer = this.#kept?.[k] ?? this.#offer(this.steps[k]!);
    if (this.#kept) this.#kept[k] = offer;
    return offer;
  }

  #offer({ hand, event, beside }: Step): Offer {
    const [mine, theirs] = [this.tables[hand], this.tables[1 - hand]!];
    const states = theirs.statesAt(beside);
    const plan = new StepPlan(mine, event);
    const meeting = new Meeting(this.#coupling, mine, theirs, plan, event, states);
    const decisions = new Uint8Array(plan.sources.length * states.length);
    return { plan, meeting, besideCount: states.length, decisions };
  }
}

function stepsOf(tables: readonly [HandTable, HandTable]): Step[] {
  const steps: Step[] = [];
  const [right, left] = [tables[0].times, tables[1].times];
  for (let i = 0, j = 0; i < right.length || j < left.length; ) {
    if (j >= left.length || (i < right.length && right[i]! <= left[j]!)) {
      steps.push({ hand: 0, event: i, beside: j - 1 });
      i += 1;
    } else {
      steps.push({ hand: 1, event: j, beside: i - 1 });
      j += 1;
    }
  }
  return steps;
}

/** The most pairs of states that there are at any time. */
function mostPairs(tables: readonly [HandTable, HandTable], steps: readonly Step[]): number {
  let most = 1;
  for (const { hand, event, beside } of steps) {
    const besideCount = tables[1 - hand]!.statesAt(beside).length;
    const own = Math.max(tables[hand].statesAt(event - 1).length, tables[hand].statesAt(event).length);
    most = Math.max(most, own * besideCount);
  }
  return most;
}

/** What beginning a placing costs beside each state of the other hand; undefined where it costs nothing. */
export class Meeting {
  /** starts[b][y] */
  readonly starts: readonly (Float64Array | undefined)[];
  readonly separate: Float64Array | undefined;
  readonly cross: Float64Array | undefined;

  constructor(
    coupling: Coupling,
    mine: HandTable,
    theirs: HandTable,
    plan: StepPlan,
    event: number,
    beside: readonly TableState[],
  ) {
    this.starts = plan.starts.nodes.map((node) =>
      node.apart
        ? undefined
        : costsBeside(
            beside,
            (state) =>
              coupling.oneString(mine, node, theirs, state.node!) +
              coupling.interlocked(mine, node, theirs, state.node!),
          ),
    );
    const glance = (look: number): Float64Array | undefined =>
      costsBeside(beside, (state) =>
        coupling.glance(mine, event, look, theirs, state.node!.first, state.look),
      );
    this.separate = glance(mine.lookWhenSeparate[event]!);
    this.cross = glance(mine.lookWhenCrossing[event]!);
  }
}

function costsBeside(
  beside: readonly TableState[],
  cost: (state: TableState) => number,
): Float64Array | undefined {
  let found: Float64Array | undefined;
  beside.forEach((state, y) => {
    const milli = state.node ? cost(state) : 0;
    if (milli === 0) return;
    found ??= new Float64Array(beside.length);
    found[y] = milli;
  });
  return found;
}
