import { jointMilli } from "./costs.ts";
import type { HandTable, TableNode, TableState } from "./handTable.ts";

/** The placings that can begin at the event of a step, in order of preference. */
export interface Starts {
  readonly nodes: readonly TableNode[];
  /** State after the event, by the joint that leads to it; any state where no joint of that kind can. */
  readonly afterSeparate: Int32Array;
  readonly afterCross: Int32Array;
  readonly afterOverlap: Int32Array;
}

/** Joints of one kind: to which starts (their indices, ascending) at what cost in thousandths. */
export interface Joints {
  readonly to: Int32Array;
  readonly milli: Float64Array;
}

/** Placings that end before the event and are alike in what can follow them at what cost. */
export interface Exit {
  /** What coming off costs, when it is the same whatever follows; else `separate` tells. */
  readonly separateMilli: number;
  readonly separate: Joints | undefined;
  readonly cross: Joints | undefined;
}

/** What one step of one hand offers, whatever the other hand does and whatever is decided. */
export class StepPlan {
  readonly sources: readonly TableState[];
  readonly targets: readonly TableState[];
  readonly starts: Starts;
  /** For each source, its state after the event when its placing goes on; −1 when it has ended. */
  readonly goesOnTo: Int32Array;
  /** For each source, which of `exits` (ended) or `pivots` (going on) is its own; −1 for none. */
  readonly group: Int32Array;
  readonly exits: readonly Exit[];
  /** Placings whose last event is this one, by the placings that can share it. */
  readonly pivots: readonly Joints[];
  readonly #table: HandTable;
  readonly #event: number;

  constructor(table: HandTable, event: number) {
    this.#table = table;
    this.#event = event;
    this.sources = table.statesAt(event - 1);
    this.targets = table.statesAt(event);
    this.starts = this.#starts();
    this.goesOnTo = new Int32Array(this.sources.length).fill(-1);
    this.group = new Int32Array(this.sources.length).fill(-1);
    const exits: Exit[] = [];
    const pivots: Joints[] = [];
    const known = new Map<number, number>();
    this.sources.forEach(({ node, look }, x) => {
      if (!node) return;
      const goesOn = node.last >= event;
      if (goesOn) this.goesOnTo[x] = table.stateIndex(event, node, look);
      if (goesOn && (node.last > event || node.first === event)) return;
      let group = known.get(node.future);
      if (group === undefined) {
        group = goesOn ? pivots.push(this.#pivot(node)) - 1 : exits.push(this.#exit(node)) - 1;
        known.set(node.future, group);
      }
      this.group[x] = group;
    });
    this.exits = exits;
    this.pivots = pivots;
  }

  #starts(): Starts {
    const table = this.#table;
    const event = this.#event;
    const nodes = table.nodes[event]!;
    const crosses = table.canLeadTo(event, "cross");
    const turns = table.canLeadTo(event, "overlap");
    const state = (node: TableNode, look: number): number => table.stateIndex(event, node, look);
    const afterSeparate = Int32Array.from(nodes, (node) => state(node, table.lookWhenSeparate[event]!));
    return {
      nodes,
      afterSeparate,
      afterCross: crosses
        ? Int32Array.from(nodes, (node) => state(node, table.lookWhenCrossing[event]!))
        : afterSeparate,
      afterOverlap: turns
        ? Int32Array.from(nodes, (node, b) => (node.last > event ? state(node, 0) : afterSeparate[b]!))
        : afterSeparate,
    };
  }

  #exit(node: TableNode): Exit {
    const { costs } = this.#table;
    const all = this.starts.nodes;
    const separate = (b: number): number => costs.separateMilli(node.choice, all[b]!.choice);
    // Which finger comes off which string matters only where a string is plucked again.
    const shared = costs.shareString(node.last, this.#event);
    const everyStart = all.map((_, b) => b);
    const crossed = everyStart.filter((b) => costs.crosses(node.choice, all[b]!.choice));
    return {
      separateMilli: shared ? 0 : separate(0),
      separate: shared ? joints(everyStart, separate) : undefined,
      cross:
        crossed.length === 0
          ? undefined
          : joints(crossed, (b) => jointMilli(costs, node.choice, all[b]!.choice, "cross")),
    };
  }

  #pivot(node: TableNode): Joints {
    const { costs } = this.#table;
    const all = this.starts.nodes;
    const shared = all.map((_, b) => b).filter((b) => costs.overlaps(node.choice, all[b]!.choice));
    return joints(shared, (b) => jointMilli(costs, node.choice, all[b]!.choice, "overlap"));
  }
}

function joints(to: readonly number[], milli: (b: number) => number): Joints {
  const all = new Float64Array(to.length);
  for (let i = 0; i < to.length; i += 1) all[i] = milli(to[i]!);
  return { to: Int32Array.from(to), milli: all };
}
