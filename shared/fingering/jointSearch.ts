import { mostChoices } from "./choices.ts";
import { Coupling } from "./coupling.ts";
import type { ChainLink } from "./describeSolution.ts";
import type { HandTable, TableState } from "./handTable.ts";
import type { Joint } from "./model.ts";
import { type Exit, type Joints, StepPlan } from "./stepPlan.ts";
import type { Weights } from "./weights.ts";

/**
 * Costs and numbers of placings in one number, so that of equal costs the one with fewer placings is the lesser:
 * thousandths × 2^18 + placings. Exact up to 2^35 thousandths.
 */
const perMilli = 2 ** 18;

/** The next event of one hand, in order of time; of two at one time the right hand's comes first. */
interface Step {
  readonly hand: 0 | 1;
  readonly event: number;
}

/** A decision in a state: 0 goes on with the placing in progress; else 1 + 3 × start + kind. */
const kinds = ["separate", "cross", "overlap"] as const;

/**
 * Finds the best pair of chains for two hands, right hand first.
 *
 * A state is a pair of placings in progress, one a hand, each with the weight of the look that led to it while that
 * look can still meet one of the other hand. Going back from the end, one event at a time, the least cost to come of
 * every state follows from those after the event; so every pair of chains is weighed.
 */
export function searchTogether(
  tables: readonly [HandTable, HandTable],
  weights: Weights,
): readonly [ChainLink[], ChainLink[]] {
  const steps = stepsOf(tables);
  const coupling = new Coupling(weights);
  const decisions: Uint8Array[] = [];
  const at: [number, number] = [tables[0].times.length - 1, tables[1].times.length - 1];
  let after: Float64Array = new Float64Array(
    tables[0].statesAt(at[0]).length * tables[1].statesAt(at[1]).length,
  );
  for (let k = steps.length - 1; k >= 0; k -= 1) {
    const { hand, event } = steps[k]!;
    const [mine, theirs] = [tables[hand]!, tables[1 - hand]!];
    const beside = theirs.statesAt(at[1 - hand]!);
    const plan = new StepPlan(mine, event, weights);
    const meeting = new Meeting(coupling, mine, theirs, plan, event, beside);
    const result = stepBack(plan, meeting, after, beside.length, hand);
    after = result.costs;
    decisions[k] = result.decisions;
    at[hand] = event - 1;
  }
  return trace(tables, steps, decisions);
}

function stepsOf(tables: readonly [HandTable, HandTable]): Step[] {
  const steps: Step[] = [];
  const [right, left] = [tables[0].times, tables[1].times];
  for (let i = 0, j = 0; i < right.length || j < left.length; ) {
    if (j >= left.length || (i < right.length && right[i]! <= left[j]!)) {
      steps.push({ hand: 0, event: i });
      i += 1;
    } else {
      steps.push({ hand: 1, event: j });
      j += 1;
    }
  }
  return steps;
}

/** What beginning a placing costs beside each state of the other hand; undefined where it costs nothing. */
class Meeting {
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
      costsBeside(
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

/** Room for the placings that can begin at an event, so that these serve every step. */
const separately = new Float64Array(mostChoices);
const crossing = new Float64Array(mostChoices);
const sharing = new Float64Array(mostChoices);

/** The least of some costs and the decision that has it. */
interface Least {
  cost: number;
  decision: number;
}

/**
 * One hand's step over one event, backwards.
 *
 * @param after cost to come for each pair of states after the event: the right hand's state is the fast index.
 * @returns the same before the event, and the decision in each pair of states.
 */
function stepBack(
  plan: StepPlan,
  meeting: Meeting,
  after: Float64Array,
  besideCount: number,
  hand: 0 | 1,
): { costs: Float64Array; decisions: Uint8Array } {
  const { sources, targets, starts, exits, pivots, goesOnTo, group } = plan;
  const { nodes, afterSeparate, afterCross, afterOverlap } = starts;
  const costs = new Float64Array(sources.length * besideCount);
  const decisions = new Uint8Array(sources.length * besideCount);
  const ownStride = hand === 0 ? 1 : besideCount;
  const besideAfter = hand === 0 ? targets.length : 1;
  const besideBefore = hand === 0 ? sources.length : 1;
  const ownCost = Float64Array.from(nodes, (node) => node.milli * perMilli + 1);
  const exitLeast: Least[] = exits.map(() => ({ cost: 0, decision: 0 }));
  const pivotLeast: Least[] = pivots.map(() => ({ cost: 0, decision: 0 }));
  const isFirst = sources.length === 1 && sources[0]!.node === undefined;

  for (let y = 0; y < besideCount; y += 1) {
    const column = y * besideAfter;
    const glanceSeparate = meeting.separate ? meeting.separate[y]! * perMilli : 0;
    const glanceCross = meeting.cross ? meeting.cross[y]! * perMilli : 0;
    let least = 0;
    for (let b = 0; b < nodes.length; b += 1) {
      const met = meeting.starts[b];
      const own = met ? ownCost[b]! + met[y]! * perMilli : ownCost[b]!;
      separately[b] = own + glanceSeparate + after[column + afterSeparate[b]! * ownStride]!;
      crossing[b] = own + glanceCross + after[column + afterCross[b]! * ownStride]!;
      sharing[b] = own + after[column + afterOverlap[b]! * ownStride]!;
      if (separately[b]! < separately[least]!) least = b;
    }
    if (isFirst) {
      costs[y * besideBefore] = separately[least]!;
      decisions[y * besideBefore] = 1 + 3 * least;
      continue;
    }
    for (let e = 0; e < exits.length; e += 1) leastExit(exits[e]!, least, exitLeast[e]!);
    for (let p = 0; p < pivots.length; p += 1) leastOf(pivots[p]!, sharing, 3, pivotLeast[p]!);
    for (let x = 0; x < sources.length; x += 1) {
      const target = y * besideBefore + x * ownStride;
      const goesOn = goesOnTo[x]!;
      const own = group[x]!;
      if (goesOn < 0) {
        costs[target] = exitLeast[own]!.cost;
        decisions[target] = exitLeast[own]!.decision;
        continue;
      }
      const stays = after[column + goesOn * ownStride]!;
      const shared = own < 0 ? undefined : pivotLeast[own];
      if (shared && shared.cost < stays) {
        costs[target] = shared.cost;
        decisions[target] = shared.decision;
      } else {
        costs[target] = stays;
      }
    }
  }
  return { costs, decisions };
}

/** Of equal costs the start that is preferred wins, and of two joints to one start the connected one. */
function leastExit(exit: Exit, leastSeparate: number, least: Least): void {
  if (exit.separate) {
    leastOf(exit.separate, separately, 1, least);
  } else {
    least.cost = separately[leastSeparate]! + exit.separateMilli * perMilli;
    least.decision = 1 + 3 * leastSeparate;
  }
  if (!exit.cross) return;
  const { to, milli } = exit.cross;
  for (let i = 0; i < to.length; i += 1) {
    const b = to[i]!;
    const cost = crossing[b]! + milli[i]! * perMilli;
    const before = cost === least.cost && 3 * b < least.decision;
    if (cost < least.cost || before) {
      least.cost = cost;
      least.decision = 2 + 3 * b;
    }
  }
}

function leastOf(joints: Joints, from: Float64Array, kind: number, least: Least): void {
  least.cost = Number.POSITIVE_INFINITY;
  const { to, milli } = joints;
  for (let i = 0; i < to.length; i += 1) {
    const cost = from[to[i]!]! + milli[i]! * perMilli;
    if (cost >= least.cost) continue;
    least.cost = cost;
    least.decision = kind + 3 * to[i]!;
  }
}

/** Follows the decisions from the beginning. */
function trace(
  tables: readonly [HandTable, HandTable],
  steps: readonly Step[],
  decisions: readonly Uint8Array[],
): readonly [ChainLink[], ChainLink[]] {
  const chains: [ChainLink[], ChainLink[]] = [[], []];
  const at: [number, number] = [-1, -1];
  const state: [number, number] = [0, 0];
  steps.forEach(({ hand, event }, k) => {
    const table = tables[hand]!;
    const rightCount = tables[0].statesAt(at[0]).length;
    const decision = decisions[k]![state[1] * rightCount + state[0]]!;
    let { node, look } = table.statesAt(at[hand]!)[state[hand]!]!;
    if (decision > 0) {
      node = table.nodes[event]![Math.floor((decision - 1) / 3)]!;
      const joint: Joint = event === 0 ? "start" : kinds[(decision - 1) % 3]!;
      look = table.lookInto(event, joint);
      chains[hand].push({ node, joint, look });
    }
    state[hand] = table.stateIndex(event, node!, look);
    at[hand] = event;
  });
  return chains;
}
