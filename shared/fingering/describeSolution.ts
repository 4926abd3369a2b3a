import { fingersAt } from "./choices.ts";
import { jointTerms, placingTerms } from "./costs.ts";
import type { HandTable, TableNode } from "./handTable.ts";
import type { LockCheck } from "./locks.ts";
import type { Finger, Joint, Placing, Solution, Term } from "./model.ts";
import type { Weights } from "./weights.ts";

/** One placing of a chain and how it follows the one before. */
export interface ChainLink {
  readonly node: TableNode;
  readonly joint: Joint;
  /** The weight of the look that the joint asks for, in thousandths. */
  readonly look: number;
}

/** Costs of a placing that come from the other hand. */
export interface OtherHandTerms {
  readonly glance: number;
  readonly oneString: number;
  readonly interlocked: number;
}

/** Turns a chain of placings into a solution with every cost by name. */
export function describeSolution(
  table: HandTable,
  chain: readonly ChainLink[],
  otherHand: readonly OtherHandTerms[],
  locks: LockCheck,
  weights: Weights,
): Solution {
  const { line, costs } = table;
  const digits: (readonly (Finger | undefined)[])[] = [];
  let totalMilli = 0;
  const placings = chain.map(({ node, joint }, i): Placing => {
    const { choice } = node;
    const before = chain[i - 1]?.node;
    const rows: (readonly (Finger | undefined)[])[] = [];
    for (let event = choice.first; event <= choice.last; event += 1) {
      const row = fullRow(table, choice, event);
      rows.push(row);
      digits[event] = row;
    }
    const shared = otherHand[i];
    const own: Term[] = [...placingTerms(costs, choice)];
    const joining: Term[] = before ? [...jointTerms(costs, before.choice, choice, joint)] : [];
    const broken = locks.brokenBy(choice);
    if (broken > 0) own.push({ name: "lock", milli: broken * weights.lockBroken });
    const cut = before && joint !== "overlap" ? locks.brokenByCutAfter(before.last) : 0;
    if (cut > 0) joining.push({ name: "lock", milli: cut * weights.lockBroken });
    if (shared && shared.oneString > 0) own.push({ name: "oneString", milli: shared.oneString });
    if (shared && shared.interlocked > 0) own.push({ name: "interlocked", milli: shared.interlocked });
    if (shared && shared.glance > 0) joining.push({ name: "glance", milli: shared.glance });
    for (const term of [...own, ...joining]) totalMilli += term.milli;
    return {
      first: choice.first,
      last: choice.last,
      direction: choice.direction,
      joint,
      fingers: rows,
      placingTerms: own,
      jointTerms: joining,
    };
  });
  return { placings, fingers: line.events.map((_, event) => digits[event]!), totalMilli };
}

/** The fingers of an event for all its strings; none for strings that the hand has no finger left for. */
function fullRow(
  table: HandTable,
  choice: TableNode["choice"],
  event: number,
): readonly (Finger | undefined)[] {
  const used = fingersAt(table.costs, choice, event);
  const strings = table.line.events[event]!.strings;
  const offset = strings.indexOf(table.costs.strings[event]![0]!);
  return strings.map((_, j) => used[j - offset]);
}
