import { Coupling } from "./coupling.ts";
import { type ChainLink, describeSolution } from "./describeSolution.ts";
import type { HandTable, TableNode } from "./handTable.ts";
import { searchTogether } from "./jointSearch.ts";
import type { LockCheck } from "./locks.ts";
import type { FingeringLine, Solution } from "./model.ts";
import { SearchTables } from "./searchTables.ts";
import { isExact } from "./solve.ts";
import type { Weights } from "./weights.ts";

/** The best fingering of two hands together. */
export interface TwoHandSolution {
  readonly right: Solution;
  readonly left: Solution;
  readonly totalMilli: number;
}

/**
 * Finds the cheapest fingering of both hands together: each hand's own cost, looks that both hands need at once,
 * strings that both want, hands that work through each other.
 *
 * @param known what earlier searches of the same music with other decisions found out.
 * @returns the exact least total over all pairs of chains. Equal totals: fewer placings; then, hand by hand as the
 *          music goes, longer placings and smaller digits first. When the hands' own optima do not disturb each other,
 *          they are the answer.
 * Time O(n) for n events of both hands: some thousand states an event at the most; memory O(n).
 */
export function solveTogether(
  right: FingeringLine,
  left: FingeringLine,
  weights: Weights,
  known?: SearchTables,
): TwoHandSolution {
  if (known) return solveWith(right, left, weights, known);
  const kept = new SearchTables(weights, 0, "kept");
  const tables = [kept.placings(right), kept.placings(left)];
  const alone = { totalMilli: kept.solve(right).totalMilli + kept.solve(left).totalMilli };
  if (isExact(alone, tables, weights)) {
    const both = solveWith(right, left, weights, kept);
    if (isExact(both, tables, weights)) return both;
  }
  return solveWith(right, left, weights, new SearchTables(weights));
}

function solveWith(
  right: FingeringLine,
  left: FingeringLine,
  weights: Weights,
  known: SearchTables,
): TwoHandSolution {
  const alone = { right: known.solve(right), left: known.solve(left) };
  const joint = known.joint(right, left);
  const { tables } = joint;
  const chains = [chainOf(tables[0], alone.right), chainOf(tables[1], alone.left)] as const;
  if (right.events.length === 0 || left.events.length === 0 || disturbance(tables, chains, weights) === 0) {
    return {
      right: alone.right,
      left: alone.left,
      totalMilli: alone.right.totalMilli + alone.left.totalMilli,
    };
  }
  const locks = [known.placings(right).locksOf(right), known.placings(left).locksOf(left)] as const;
  return described(tables, searchTogether(joint, locks, weights), locks, weights);
}

/** The two solutions with what the hands cost each other among their terms. */
function described(
  tables: readonly [HandTable, HandTable],
  chains: readonly [readonly ChainLink[], readonly ChainLink[]],
  locks: readonly [LockCheck, LockCheck],
  weights: Weights,
): TwoHandSolution {
  const shared = sharedTerms(tables, chains, weights);
  const right = describeSolution(tables[0], chains[0], shared[0], locks[0], weights);
  const left = describeSolution(tables[1], chains[1], shared[1], locks[1], weights);
  return { right, left, totalMilli: right.totalMilli + left.totalMilli };
}

/** Costs that two chains have only together, by hand and placing; each is charged to the later of the two. */
export interface SharedTerms {
  readonly glance: number;
  readonly oneString: number;
  readonly interlocked: number;
}

function disturbance(
  tables: readonly [HandTable, HandTable],
  chains: readonly [readonly ChainLink[], readonly ChainLink[]],
  weights: Weights,
): number {
  let sum = 0;
  for (const hand of sharedTerms(tables, chains, weights)) {
    for (const terms of hand) sum += terms.glance + terms.oneString + terms.interlocked;
  }
  return sum;
}

/** Goes through both chains as the music goes. Of placings that begin together the right hand's comes first. */
export function sharedTerms(
  tables: readonly [HandTable, HandTable],
  chains: readonly [readonly ChainLink[], readonly ChainLink[]],
  weights: Weights,
): readonly [SharedTerms[], SharedTerms[]] {
  const coupling = new Coupling(weights);
  const found: [SharedTerms[], SharedTerms[]] = [[], []];
  const at: [number, number] = [-1, -1];
  for (;;) {
    const next = chains.map((chain, hand) => {
      const link = chain[at[hand]! + 1];
      return link ? tables[hand]!.times[link.node.first]! : Number.POSITIVE_INFINITY;
    });
    if (next[0] === Number.POSITIVE_INFINITY && next[1] === Number.POSITIVE_INFINITY) return found;
    const hand = next[0]! <= next[1]! ? 0 : 1;
    const other = 1 - hand;
    at[hand]! += 1;
    const link = chains[hand]![at[hand]!]!;
    const beside = chains[other]![at[other]!];
    const [mine, theirs] = [tables[hand]!, tables[other]!];
    found[hand]!.push(
      beside
        ? {
            glance: coupling.glance(mine, link.node.first, link.look, theirs, beside.node.first, beside.look),
            oneString: coupling.oneString(mine, link.node, theirs, beside.node),
            interlocked: coupling.interlocked(mine, link.node, theirs, beside.node),
          }
        : { glance: 0, oneString: 0, interlocked: 0 },
    );
  }
}

/** A solution as nodes of the table. */
export function chainOf(table: HandTable, solution: Solution): ChainLink[] {
  return solution.placings.map((placing) => {
    const digits = placing.fingers.flat().filter((finger) => finger !== undefined);
    const node = table.nodes[placing.first]!.find(
      (candidate) => candidate.last === placing.last && sameDigits(candidate, digits),
    );
    if (!node) throw new Error(`no placing from event ${placing.first} to ${placing.last}`);
    return { node, joint: placing.joint, look: table.lookInto(placing.first, placing.joint) };
  });
}

/** Within one placing fingers follow the strings, so the same ones, a sliding one twice, are the same choice. */
function sameDigits(node: TableNode, digits: readonly number[]): boolean {
  const own = node.choice.fingers;
  const descending = digits.toSorted((a, b) => b - a);
  return own.length === digits.length && own.every((finger, i) => finger === descending[i]);
}
