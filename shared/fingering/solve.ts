import { fingersAt } from "./choices.ts";
import {
  cheapestJoint,
  jointMilli,
  jointTerms,
  type LineCosts,
  type PlacingChoice,
  placingTerms,
} from "./costs.ts";
import { LineTable } from "./lineTable.ts";
import type { LockCheck } from "./locks.ts";
import type { Finger, FingeringLine, Joint, Placing, Solution, Term } from "./model.ts";
import { preferredChain } from "./preferred.ts";
import type { Weights } from "./weights.ts";

/** A placing in the search, with what the best way on from it comes to. */
interface Node {
  readonly choice: PlacingChoice;
  readonly milli: number;
  readonly locksBroken: number;
  /** Cost of the best chain from here to the end of the line, this placing included. */
  rest: number;
  /** Number of placings in that chain. */
  count: number;
}

/** From one placing to the next. */
interface NodeStep {
  readonly to: Node;
  readonly joint: Joint;
  readonly milli: number;
  readonly cutBroken: number;
}

interface Search {
  readonly costs: LineCosts;
  readonly locks: LockCheck;
  /** layers[i]: the placings that begin at event i. */
  readonly layers: readonly (readonly Node[])[];
  readonly weights: Weights;
}

/**
 * Finds the cheapest fingering of one hand's line.
 *
 * @param line    n events in played order. Decisions in `line.locks` are kept where that is possible at all; a broken
 *                one is charged as the term `lock`.
 * @param weights the table of costs.
 * @param table   the placings of the line, where they are known already.
 * @returns the least total over all chains of placings, its placings and fingers. Equal totals: fewer placings, then
 *          longer earlier placings, then the smaller digits, so that equal input gives equal output.
 * Time O(n), memory O(n): at most 15 placings start at an event, and 30 can follow each.
 * Source: shortest path over placings as nodes; Bellman, "The theory of dynamic programming", 1954.
 */
export function solve(line: FingeringLine, weights: Weights, table?: LineTable): Solution {
  if (table) return solveWith(line, weights, table);
  const kept = new LineTable(line, weights, "kept");
  const solution = solveWith(line, weights, kept);
  if (isExact(solution, [kept], weights)) return solution;
  return solveWith(line, weights, new LineTable(line, weights));
}

/**
 * Whether a solution that was sought among the placings that break few decisions is the best of all: no cost is less than
 * nothing, so whatever breaks one decision more is dearer.
 */
export function isExact(
  { totalMilli }: { readonly totalMilli: number },
  tables: readonly LineTable[],
  weights: Weights,
): boolean {
  if (tables.every(({ isWhole }) => isWhole)) return true;
  const leastBroken = tables.reduce((sum, table) => sum + table.leastBroken, 0);
  return totalMilli < (leastBroken + 1) * weights.lockBroken;
}

function solveWith(line: FingeringLine, weights: Weights, table: LineTable): Solution {
  const { costs } = table;
  if (costs.eventCount === 0) return { placings: [], fingers: [], totalMilli: 0 };
  const found = search(line, table, weights);
  const chain = preferredChain(costs, bestStarts(found.layers[0]!), (node: Node) => bestSteps(node, found));
  return toSolution(line, costs, weights, chain.first, chain.steps);
}

/**
 * What the whole line costs at least when one note takes each finger.
 * @returns index = finger (1 to 4); undefined where no placing gives the note that finger.
 */
export function costByFinger(
  line: FingeringLine,
  weights: Weights,
  event: number,
  stringAt: number,
): (number | undefined)[] {
  return ([1, 2, 3, 4] as const).reduce<(number | undefined)[]>(
    (found, finger) => {
      const locked = solve(withLock(line, event, stringAt, finger), weights);
      if (locked.fingers[event]?.[stringAt] === finger) found[finger] = locked.totalMilli;
      return found;
    },
    [undefined],
  );
}

/** The same line with one more finger decided. */
export function withLock(
  line: FingeringLine,
  event: number,
  stringAt: number,
  finger: Finger,
): FingeringLine {
  const locked = line.events.map((_, i) => line.locks?.fingers[i]);
  const here = line.events[event]!.strings.map((_, j) => locked[event]?.[j]);
  here[stringAt] = finger;
  locked[event] = here;
  return { ...line, locks: { fingers: locked, placings: line.locks?.placings ?? [] } };
}

/** Cheapest rest and its fewest placings for every placing, from the end of the line backwards. */
function search(line: FingeringLine, table: LineTable, weights: Weights): Search {
  const { costs } = table;
  const locks = table.locksOf(line);
  const layers = table.choices.map((choices, first) =>
    choices.map((choice, b): Node => {
      const locksBroken = locks.brokenBy(choice);
      const milli = table.milli[first]![b]! + locksBroken * weights.lockBroken;
      return { choice, milli, locksBroken, rest: milli, count: 1 };
    }),
  );
  const found: Search = { costs, locks, layers, weights };
  const known = new Map<number, Rest>();
  // Nodes may share their last event with nodes that begin later, so all layers after are done first.
  for (let first = costs.eventCount - 1; first >= 0; first -= 1) {
    layers[first]!.forEach((node, b) => {
      if (node.choice.last === costs.eventCount - 1) return;
      const future = table.future[first]![b]!;
      let rest = known.get(future);
      if (!rest) {
        rest = restAfter(node, found);
        known.set(future, rest);
      }
      node.rest = node.milli + rest.milli;
      node.count = 1 + rest.count;
    });
  }
  return found;
}

/** The best chain after a placing: what it costs with the joint that leads to it, and its number of placings. */
interface Rest {
  readonly milli: number;
  readonly count: number;
}

function restAfter(node: Node, search: Search): Rest {
  const { costs, locks, weights } = search;
  const { choice } = node;
  const cut = locks.brokenByCutAfter(choice.last) * weights.lockBroken;
  let milli = Number.POSITIVE_INFINITY;
  let count = 0;
  for (const layer of layersAfter(node, search)) {
    for (const to of layer) {
      // No joint costs less than nothing.
      if (to.rest > milli) continue;
      const joint = cheapestJoint(costs, choice, to.choice);
      if (!joint) continue;
      const joining = jointMilli(costs, choice, to.choice, joint) + (joint === "overlap" ? 0 : cut);
      const through = joining + to.rest;
      if (through > milli || (through === milli && to.count >= count)) continue;
      milli = through;
      count = to.count;
    }
  }
  return { milli, count };
}

/** The placings that can follow: from the turning note that is shared, or from the next event. */
function layersAfter({ choice }: Node, { layers }: Search): readonly (readonly Node[])[] {
  const next = layers[choice.last + 1] ?? [];
  return choice.last > choice.first ? [layers[choice.last]!, next] : [next];
}

function stepTo(to: Node, from: Node, { costs, locks, weights }: Search): NodeStep | undefined {
  const joint = cheapestJoint(costs, from.choice, to.choice);
  if (!joint) return undefined;
  const cutBroken = joint === "overlap" ? 0 : locks.brokenByCutAfter(from.choice.last);
  const milli = jointMilli(costs, from.choice, to.choice, joint) + cutBroken * weights.lockBroken;
  return { to, joint, milli, cutBroken };
}

/** The steps that a cheapest chain with the fewest placings can take from here. */
function bestSteps(node: Node, search: Search): NodeStep[] {
  const rest = node.rest - node.milli;
  const steps: NodeStep[] = [];
  for (const layer of layersAfter(node, search)) {
    for (const to of layer) {
      if (to.count !== node.count - 1 || to.rest > rest) continue;
      const step = stepTo(to, node, search);
      if (step && step.milli + to.rest === rest) steps.push(step);
    }
  }
  return steps;
}

/** The first placings of the cheapest chains with the fewest placings. */
function bestStarts(nodes: readonly Node[]): Node[] {
  const rest = Math.min(...nodes.map((node) => node.rest));
  const cheapest = nodes.filter((node) => node.rest === rest);
  const count = Math.min(...cheapest.map((node) => node.count));
  return cheapest.filter((node) => node.count === count);
}

function toSolution(
  line: FingeringLine,
  costs: LineCosts,
  weights: Weights,
  start: Node,
  steps: readonly NodeStep[],
): Solution {
  const placings: Placing[] = [];
  const digits: (readonly (Finger | undefined)[])[] = [];
  let before: Node | undefined;
  for (const { to: node, joint, cutBroken } of [
    { to: start, joint: "start" as const, cutBroken: 0 },
    ...steps,
  ]) {
    const { choice } = node;
    const perEvent: (readonly (Finger | undefined)[])[] = [];
    for (let event = choice.first; event <= choice.last; event += 1) {
      const used = fingersAt(costs, choice, event);
      const offset = line.events[event]!.strings.indexOf(costs.strings[event]![0]!);
      const row = line.events[event]!.strings.map((_, j) => used[j - offset]);
      perEvent.push(row);
      digits[event] = row;
    }
    placings.push({
      first: choice.first,
      last: choice.last,
      direction: choice.direction,
      joint,
      fingers: perEvent,
      placingTerms: withLockTerm(placingTerms(costs, choice), node.locksBroken, weights),
      jointTerms: before
        ? withLockTerm(jointTerms(costs, before.choice, choice, joint), cutBroken, weights)
        : [],
    });
    before = node;
  }
  return { placings, fingers: digits, totalMilli: start.rest };
}

function withLockTerm(terms: Term[], broken: number, weights: Weights): Term[] {
  return broken === 0 ? terms : [...terms, { name: "lock", milli: broken * weights.lockBroken }];
}
