import { mostChoices } from "./choices.ts";
import type { ChainLink } from "./describeSolution.ts";
import type { JointTables, Offer } from "./jointTables.ts";
import type { LockCheck } from "./locks.ts";
import type { Joint } from "./model.ts";
import type { Exit, Joints } from "./stepPlan.ts";
import type { Weights } from "./weights.ts";

/**
 * Costs and numbers of placings in one number, so that of equal costs the one with fewer placings is the lesser:
 * thousandths × 2^18 + placings. Exact up to 2^35 thousandths.
 */
const perMilli = 2 ** 18;

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
  joint: JointTables,
  locks: readonly [LockCheck, LockCheck],
  weights: Weights,
): readonly [ChainLink[], ChainLink[]] {
  const { steps } = joint;
  const decisions: Uint8Array[] = [];
  let [after, before] = joint.costs;
  after.fill(0);
  for (let k = steps.length - 1; k >= 0; k -= 1) {
    const { hand, event } = steps[k]!;
    const offer = joint.offer(k);
    const { nodes } = offer.plan.starts;
    for (let b = 0; b < nodes.length; b += 1) {
      const broken = locks[hand].brokenBy(nodes[b]!.choice) * weights.lockBroken;
      beginning[b] = (nodes[b]!.milli + broken) * perMilli + 1;
    }
    const cut = event === 0 ? 0 : locks[hand].brokenByCutAfter(event - 1) * weights.lockBroken;
    stepBack(offer, cut * perMilli, after, before, hand);
    decisions[k] = offer.decisions;
    [after, before] = [before, after];
  }
  return trace(joint, decisions);
}

/** Room for the placings that can begin at an event, so that these serve every step. */
const beginning = new Float64Array(mostChoices);
const separately = new Float64Array(mostChoices);
const crossing = new Float64Array(mostChoices);
const sharing = new Float64Array(mostChoices);

/** The least of some costs and the decision that has it. */
interface Least {
  cost: number;
  decision: number;
}

/**
 * One hand's step over one event, backwards; what each placing costs that can begin there is in its room.
 *
 * @param cut    what decisions cost when a placing ends before the event and the next one begins with it.
 * @param after  cost to come for each pair of states after the event: the right hand's state is the fast index.
 * @param before gets the same before the event; the offer's room gets the decision in each pair of states.
 */
function stepBack(
  { plan, meeting, besideCount, decisions }: Offer,
  cut: number,
  after: Float64Array,
  before: Float64Array,
  hand: 0 | 1,
): void {
  const { sources, targets, starts, exits, pivots, goesOnTo, group } = plan;
  const { nodes, afterSeparate, afterCross, afterOverlap } = starts;
  const ownStride = hand === 0 ? 1 : besideCount;
  const besideAfter = hand === 0 ? targets.length : 1;
  const besideBefore = hand === 0 ? sources.length : 1;
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
      const own = met ? beginning[b]! + met[y]! * perMilli : beginning[b]!;
      separately[b] = own + glanceSeparate + after[column + afterSeparate[b]! * ownStride]!;
      crossing[b] = own + glanceCross + after[column + afterCross[b]! * ownStride]!;
      sharing[b] = own + after[column + afterOverlap[b]! * ownStride]!;
      if (separately[b]! < separately[least]!) least = b;
    }
    if (isFirst) {
      before[y * besideBefore] = separately[least]!;
      decisions[y * besideBefore] = 1 + 3 * least;
      continue;
    }
    for (let e = 0; e < exits.length; e += 1) leastExit(exits[e]!, cut, least, exitLeast[e]!);
    for (let p = 0; p < pivots.length; p += 1) leastOf(pivots[p]!, sharing, 3, pivotLeast[p]!);
    for (let x = 0; x < sources.length; x += 1) {
      const target = y * besideBefore + x * ownStride;
      const goesOn = goesOnTo[x]!;
      const own = group[x]!;
      if (goesOn < 0) {
        before[target] = exitLeast[own]!.cost;
        decisions[target] = exitLeast[own]!.decision;
        continue;
      }
      const stays = after[column + goesOn * ownStride]!;
      const shared = own < 0 ? undefined : pivotLeast[own];
      if (shared && shared.cost < stays) {
        before[target] = shared.cost;
        decisions[target] = shared.decision;
      } else {
        before[target] = stays;
        decisions[target] = 0;
      }
    }
  }
}

/** Of equal costs the start that is preferred wins, and of two joints to one start the connected one. */
function leastExit(exit: Exit, cut: number, leastSeparate: number, least: Least): void {
  if (exit.separate) {
    leastOf(exit.separate, separately, 1, least);
  } else {
    least.cost = separately[leastSeparate]! + exit.separateMilli * perMilli;
    least.decision = 1 + 3 * leastSeparate;
  }
  if (exit.cross) orCross(exit.cross, least);
  least.cost += cut;
}

function orCross({ to, milli }: Joints, least: Least): void {
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
  { tables, steps }: JointTables,
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
