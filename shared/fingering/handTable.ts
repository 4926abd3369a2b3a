import { firstFinger, isCrossable, type LineCosts, lastFinger, type PlacingChoice } from "./costs.ts";
import { LineTable } from "./lineTable.ts";
import type { FingeringLine, HandName, Joint } from "./model.ts";
import { mostEventsPlaced } from "./slides.ts";
import type { Weights } from "./weights.ts";

/** One way to place one hand, with all that the search asks of it at hand. */
export interface TableNode {
  readonly choice: PlacingChoice;
  readonly first: number;
  readonly last: number;
  readonly firstFinger: number;
  readonly lastFinger: number;
  /** Its own cost in thousandths; broken decisions come on top. */
  readonly milli: number;
  readonly lowest: number;
  readonly highest: number;
  /** True when no placing of the other hand that can meet this one comes near its strings. */
  readonly apart: boolean;
  /** Nodes with the same number cost the same from here on, whatever follows. */
  readonly future: number;
}

/**
 * Placings in progress at an event that are alike in all that can follow, with the weight of the look that led to them
 * while that still matters.
 */
export interface TableState {
  /** One of them; undefined only before the hand's first event. */
  readonly node: TableNode | undefined;
  readonly look: number;
}

const nothingPlaced: readonly TableState[] = [{ node: undefined, look: 0 }];

/** Everything about one hand's line that depends neither on the other hand's fingering nor on decisions. */
export class HandTable {
  readonly hand: HandName;
  readonly line: FingeringLine;
  readonly costs: LineCosts;
  readonly times: Float64Array;
  /** nodes[i]: the placings that begin at event i, longer ones first, then smaller digits. */
  readonly nodes: readonly (readonly TableNode[])[] = [];
  readonly #states: readonly (readonly TableState[])[];
  /** The weight of the look when the hand comes off before event i. */
  readonly lookWhenSeparate: readonly number[];
  /** The weight of the look when a crossing leads to event i. */
  readonly lookWhenCrossing: readonly number[];
  readonly #lookMicros: number;
  /** crossable[i]: a crossing can lead from the event before to event i. */
  readonly #crossable: readonly boolean[];
  /** turning[i]: the line turns at the single note of event i, so that two placings can share it. */
  readonly #turning: readonly boolean[];
  #nodeCount = 0;

  readonly #other: Neighbourhood;
  /** How many events a placing can hold. */
  readonly #mostPlaced: number;

  /**
   * @param other   the other hand's line, to know where the hands can meet.
   * @param placings of the line.
   */
  constructor(
    line: FingeringLine,
    other: FingeringLine,
    weights: Weights,
    placings: LineTable = new LineTable(line, weights),
  ) {
    this.hand = line.hand;
    this.line = line;
    this.costs = placings.costs;
    this.times = timesOf(line);
    this.#other = new Neighbourhood(other, mostEventsPlaced(other, weights.slides));
    this.#mostPlaced = mostEventsPlaced(line, weights.slides);
    const { strings } = this.costs;
    this.nodes = placings.choices.map((choices, first) =>
      choices
        .map((choice, b) => this.#node(choice, placings.milli[first]![b]!, placings.future[first]![b]!))
        .sort(byPreference),
    );
    this.lookWhenSeparate = strings.map((to, i) =>
      i === 0 ? 0 : separateLook(strings[i - 1]!, to, weights),
    );
    this.lookWhenCrossing = strings.map((to, i) =>
      i > 0 && Math.abs(to[0]! - strings[i - 1]![0]!) > 1 ? weights.glance.crossingOverSkip : 0,
    );
    this.#lookMicros = weights.glance.lookMicros;
    this.#crossable = strings.map(
      (to, i) => i > 0 && isCrossable(strings[i - 1]!, to, weights.crossAtMostSteps),
    );
    this.#turning = strings.map((here, i) => isTurn(strings[i - 1], here, strings[i + 1]));
    this.#states = strings.map((_, event) => this.#statesHolding(event));
  }

  #node(choice: PlacingChoice, milli: number, future: number): TableNode {
    const lowest = choice.strings[0]!;
    const highest = choice.strings[choice.strings.length - 1]!;
    const apart = this.#other.isApart(
      this.hand,
      lowest,
      highest,
      this.times[choice.first]!,
      this.times[choice.last]!,
    );
    this.#nodeCount += 1;
    return {
      choice,
      first: choice.first,
      last: choice.last,
      firstFinger: firstFinger(choice),
      lastFinger: lastFinger(choice),
      milli,
      lowest,
      highest,
      apart,
      future: apart ? future : -this.#nodeCount,
    };
  }

  /** The placings that hold an event, each once for every look that still matters; one empty state before the first. */
  statesAt(event: number): readonly TableState[] {
    return event < 0 ? nothingPlaced : this.#states[event]!;
  }

  /** Whether any placing can lead to an event by this joint. */
  canLeadTo(event: number, joint: Joint): boolean {
    if (joint === "start" || event === 0) return (joint === "start" || joint === "separate") && event === 0;
    return joint === "separate" || (joint === "cross" ? this.#crossable[event]! : this.#turning[event]!);
  }

  #looksInto({ first, last }: TableNode): number[] {
    if (first === 0) return [0];
    const looks = [this.lookWhenSeparate[first]!];
    if (this.#crossable[first]!) looks.push(this.lookWhenCrossing[first]!);
    if (this.#turning[first]! && last > first) looks.push(0);
    return looks;
  }

  /** The weight of the look that a joint to an event asks for. */
  lookInto(event: number, joint: Joint): number {
    if (joint === "separate") return this.lookWhenSeparate[event]!;
    return joint === "cross" ? this.lookWhenCrossing[event]! : 0;
  }

  /** A look that is over by the time of an event weighs nothing any more. */
  lookStillFelt(node: TableNode, look: number, event: number): number {
    return this.times[event]! - this.times[node.first]! < this.#lookMicros ? look : 0;
  }

  /** The state that a node is in; its place among `statesAt(event)`. */
  stateIndex(event: number, node: TableNode, look: number): number {
    const felt = this.lookStillFelt(node, look, event);
    const states = this.statesAt(event);
    for (let x = 0; x < states.length; x += 1) {
      const state = states[x]!;
      if (isAlike(state, node, felt)) return x;
    }
    throw new Error(`no state for a placing from event ${node.first} to ${node.last}`);
  }

  #statesHolding(event: number): TableState[] {
    const states: TableState[] = [];
    for (let first = Math.max(0, event - this.#mostPlaced + 1); first <= event; first += 1) {
      for (const node of this.nodes[first]!) {
        if (node.last < event) continue;
        for (const look of this.#looksInto(node)) {
          const felt = this.lookStillFelt(node, look, event);
          if (!states.some((state) => isAlike(state, node, felt))) states.push({ node, look: felt });
        }
      }
    }
    return states;
  }
}

/** A look that is felt also matters by where it went, so it tells placings apart that begin elsewhere. */
function isAlike(state: TableState, node: TableNode, look: number): boolean {
  return (
    state.node!.future === node.future &&
    state.look === look &&
    (look === 0 || state.node!.first === node.first)
  );
}

function timesOf({ events }: FingeringLine): Float64Array {
  return Float64Array.from(events, ({ atMicros }) => atMicros);
}

/** Where the other hand's strings are at a time. */
class Neighbourhood {
  readonly #times: Float64Array;
  readonly #lowest: readonly number[];
  readonly #highest: readonly number[];
  readonly #mostPlaced: number;

  /** @param mostPlaced how many events a placing of the line can hold. */
  constructor(line: FingeringLine, mostPlaced: number) {
    this.#mostPlaced = mostPlaced;
    this.#times = timesOf(line);
    this.#lowest = line.events.map((event) => event.strings[0]!);
    this.#highest = line.events.map((event) => event.strings[event.strings.length - 1]!);
  }

  /** True when every placing of this hand around these times stays on its own side of these strings. */
  isApart(otherThan: HandName, lowest: number, highest: number, from: number, to: number): boolean {
    // A placing that is in progress at a time holds fewer events than that before it and after it.
    const begin = Math.max(0, this.#firstFrom(from) - this.#mostPlaced);
    const end = Math.min(this.#times.length, this.#firstFrom(to + 1) + this.#mostPlaced);
    for (let event = begin; event < end; event += 1) {
      if (otherThan === "right" ? this.#highest[event]! >= lowest : this.#lowest[event]! <= highest)
        return false;
    }
    return true;
  }

  #firstFrom(time: number): number {
    let low = 0;
    let high = this.#times.length;
    while (low < high) {
      const middle = (low + high) >> 1;
      if (this.#times[middle]! < time) low = middle + 1;
      else high = middle;
    }
    return low;
  }
}

function isTurn(
  before: readonly number[] | undefined,
  here: readonly number[],
  after: readonly number[] | undefined,
): boolean {
  if (!before || !after || here.length > 1) return false;
  const [note] = here as [number];
  const isTop = before[before.length - 1]! < note && after[after.length - 1]! < note;
  const isBottom = before[0]! > note && after[0]! > note;
  return isTop || isBottom;
}

function byPreference(a: TableNode, b: TableNode): number {
  if (a.last !== b.last) return b.last - a.last;
  const x = inPlayingOrder(a.choice);
  const y = inPlayingOrder(b.choice);
  for (let i = 0; i < x.length; i += 1) if (x[i] !== y[i]) return x[i]! - y[i]!;
  return 0;
}

function inPlayingOrder(choice: PlacingChoice): readonly number[] {
  return choice.direction === "falling" ? [...choice.fingers].reverse() : choice.fingers;
}

export function separateLook(from: readonly number[], to: readonly number[], weights: Weights): number {
  const { comingOff, sameStrings, afterLeap, leapSteps } = weights.glance;
  let nearest = Number.POSITIVE_INFINITY;
  for (const a of from) for (const b of to) nearest = Math.min(nearest, Math.abs(a - b));
  if (nearest > leapSteps) return afterLeap;
  return to.every((string) => from.includes(string)) ? sameStrings : comingOff;
}
