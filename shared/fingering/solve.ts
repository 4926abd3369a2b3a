import { choicesFrom, fingersAt } from "./choices.ts";
import { cheapestJoint, jointTerms, LineCosts, type PlacingChoice, placingTerms, total } from "./costs.ts";
import { LockCheck } from "./locks.ts";
import type { Finger, FingeringLine, Joint, Placing, Solution, Term } from "./model.ts";
import type { Weights } from "./weights.ts";

/** A placing in the search, with the best way on from it. */
interface Node {
  readonly choice: PlacingChoice;
  readonly milli: number;
  readonly locksBroken: number;
  /** Cost of the best chain from here to the end of the line, this placing included. */
  rest: number;
  /** Number of placings in that chain. */
  count: number;
  next: Node | undefined;
  joint: Joint;
  cutBroken: number;
}

/**
 * Finds the cheapest fingering of one hand's line.
 *
 * @param line    n events in played order. Decisions in `line.locks` are kept where that is possible at all; a broken
 *                one is charged as the term `lock`.
 * @param weights the table of costs.
 * @returns the least total over all chains of placings, its placings and fingers. Equal totals: fewer placings, then
 *          longer earlier placings, then the smaller digits, so that equal input gives equal output.
 * Time O(n), memory O(n): at most 15 placings start at an event, and 30 can follow each.
 * Source: shortest path over placings as nodes; Bellman, "The theory of dynamic programming", 1954.
 */
export function solve(line: FingeringLine, weights: Weights): Solution {
  const costs = new LineCosts(line, weights);
  if (costs.eventCount === 0) return { placings: [], fingers: [], totalMilli: 0 };
  const layers = search(line, costs, weights);
  return toSolution(line, costs, weights, cheapest(costs, layers[0]!)!);
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

function search(line: FingeringLine, costs: LineCosts, weights: Weights): Node[][] {
  const locks = new LockCheck(line, costs);
  const layers: Node[][] = [];
  for (let first = costs.eventCount - 1; first >= 0; first -= 1) {
    layers[first] = choicesFrom(costs, first).map((choice) => {
      const locksBroken = locks.brokenBy(choice);
      const milli = total((charge) => costs.placing(choice, charge)) + locksBroken * weights.lockBroken;
      const node: Node = {
        choice,
        milli,
        locksBroken,
        rest: milli,
        count: 1,
        next: undefined,
        joint: "start",
        cutBroken: 0,
      };
      return node;
    });
    // Nodes that begin here may share their last event with nodes that begin later, so all layers after are done.
    for (const node of layers[first]!) chooseNext(node, layers, costs, locks, weights);
  }
  return layers;
}

function chooseNext(
  node: Node,
  layers: Node[][],
  costs: LineCosts,
  locks: LockCheck,
  weights: Weights,
): void {
  const { last } = node.choice;
  if (last === costs.eventCount - 1) return;
  const cutBroken = locks.brokenByCutAfter(last);
  let best = Number.POSITIVE_INFINITY;
  const consider = (candidate: Node, extra: number): void => {
    if (candidate.rest > best) return;
    const joint = cheapestJoint(costs, node.choice, candidate.choice);
    if (!joint) return;
    const rest = joint.milli + extra * weights.lockBroken + candidate.rest;
    if (rest > best) return;
    if (rest === best && node.next && !comesFirst(costs, candidate, node.next, last)) return;
    best = rest;
    node.next = candidate;
    node.joint = joint.joint;
    node.cutBroken = extra;
  };
  if (last > node.choice.first) for (const candidate of layers[last]!) consider(candidate, 0);
  for (const candidate of layers[last + 1]!) consider(candidate, cutBroken);
  node.rest = node.milli + best;
  node.count = 1 + node.next!.count;
}

/** The tie-break between two chains of equal cost that both follow a placing ending at `after`. */
function comesFirst(costs: LineCosts, a: Node, b: Node, after: number): boolean {
  if (a.count !== b.count) return a.count < b.count;
  for (let x: Node | undefined = a, y: Node | undefined = b; x && y && x !== y; x = x.next, y = y.next) {
    const longer = length(x) - length(y);
    if (longer !== 0) return longer > 0;
  }
  let x: Node | undefined = a;
  let y: Node | undefined = b;
  for (let event = after + 1; x && y; event += 1) {
    while (x && x.choice.last < event) x = x.next;
    while (y && y.choice.last < event) y = y.next;
    if (!x || !y || x === y) return false;
    const difference = compareDigits(fingersAt(costs, x.choice, event), fingersAt(costs, y.choice, event));
    if (difference !== 0) return difference < 0;
  }
  return false;
}

function length(node: Node): number {
  return node.choice.last - node.choice.first + 1;
}

function compareDigits(a: readonly Finger[], b: readonly Finger[]): number {
  for (let i = 0; i < a.length && i < b.length; i += 1) {
    if (a[i] !== b[i]) return a[i]! - b[i]!;
  }
  return 0;
}

function cheapest(costs: LineCosts, nodes: readonly Node[]): Node | undefined {
  let best: Node | undefined;
  for (const node of nodes) {
    if (!best || node.rest < best.rest || (node.rest === best.rest && comesFirst(costs, node, best, -1)))
      best = node;
  }
  return best;
}

function toSolution(line: FingeringLine, costs: LineCosts, weights: Weights, start: Node): Solution {
  const placings: Placing[] = [];
  const digits: (readonly (Finger | undefined)[])[] = [];
  let before: Node | undefined;
  for (let node: Node | undefined = start; node; before = node, node = node.next) {
    const { choice } = node;
    const joint: Joint = before ? before.joint : "start";
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
        ? withLockTerm(jointTerms(costs, before.choice, choice, joint), before.cutBroken, weights)
        : [],
    });
  }
  return { placings, fingers: digits, totalMilli: start.rest };
}

function withLockTerm(terms: Term[], broken: number, weights: Weights): Term[] {
  return broken === 0 ? terms : [...terms, { name: "lock", milli: broken * weights.lockBroken }];
}
