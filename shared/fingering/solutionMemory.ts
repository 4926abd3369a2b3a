import { RecentAnswers } from "../text/recentAnswers.ts";
import type { BothSolutions, HandLinesToSolve } from "./bothHands.ts";
import { solveBoth } from "./jumps.ts";
import type { FingeringEvent, FingeringLine, Solution } from "./model.ts";
import type { SearchTables } from "./searchTables.ts";
import type { Weights } from "./weights.ts";

/** Answers about so many events are remembered at least, and twice as many at most: a hundred bytes or so for each. */
const fewestEvents = 60_000;

/**
 * What searches gave, by what they were asked: strings, times, decisions. Music that stands elsewhere after an edit,
 * and music that comes back, is not searched again. What was not asked for the longest is forgotten first.
 */
export class SolutionMemory {
  readonly #alone = new RecentAnswers<Solution>(fewestEvents);
  readonly #together = new RecentAnswers<BothSolutions>(fewestEvents);
  readonly #costs = new RecentAnswers<number>(fewestEvents);
  readonly #tables = new WeakMap<Weights, number>();
  readonly #tableNumbers = new Map<string, number>();
  #searches = 0;
  /** Called before each question is answered; may throw, to end work that nobody waits for any more. */
  beforeEach: (() => void) | undefined;

  /** How often something was not known and had to be searched for. */
  get searches(): number {
    return this.#searches;
  }

  /** What is known to be the solution of a line with its locks, or else what `find` gives. Jumps do not count. */
  solution(line: FingeringLine, weights: Weights, find: () => Solution): Solution {
    return this.#alone.get(this.#keyOf([line], weights), line.events.length, this.#counted(find));
  }

  /** What these lines, played together, are known to cost, or else what `find` gives. */
  cost(lines: readonly FingeringLine[], weights: Weights, find: () => number): number {
    return this.#costs.get(this.#keyOf(lines, weights), 1, this.#counted(find));
  }

  /** What `solveBoth` gives. */
  solveBoth(lines: HandLinesToSolve, weights: Weights, tables?: SearchTables): BothSolutions {
    const present = [lines.right, lines.left].filter((line) => line !== undefined);
    const events = present.reduce((sum, line) => sum + line.events.length, 0);
    const find = (): BothSolutions => solveBoth(lines, weights, tables);
    return this.#together.get(this.#keyOf(present, weights), events, this.#counted(find));
  }

  #counted<T>(find: () => T): () => T {
    return () => {
      this.#searches += 1;
      return find();
    };
  }

  /** Everything that a search looks at: times only as far as they differ from event to event. */
  #keyOf(lines: readonly FingeringLine[], weights: Weights): string {
    this.beforeEach?.();
    const start = Math.min(...lines.map(({ events }) => events[0]?.atMicros ?? Number.POSITIVE_INFINITY));
    let key = `${this.#tableNumber(weights)}`;
    for (const line of lines) key += lineKey(line, start);
    return key;
  }

  /** Tables of costs are alike when all their numbers are. */
  #tableNumber(weights: Weights): number {
    let number = this.#tables.get(weights);
    if (number === undefined) {
      const content = JSON.stringify(weights);
      number = this.#tableNumbers.get(content) ?? this.#tableNumbers.size;
      this.#tableNumbers.set(content, number);
      this.#tables.set(weights, number);
    }
    return number;
  }
}

/** What an event has besides strings and time, each as one bit. A new property of events has to be named here. */
const eventMarks = {
  rolled: 1,
  held: 2,
  slidesOn: 4,
  cutBefore: 8,
  handFreeBefore: 16,
} satisfies Record<Exclude<keyof FingeringEvent, "strings" | "atMicros">, number>;
const markNames = Object.keys(eventMarks) as (keyof typeof eventMarks)[];

const known = new WeakMap<FingeringEvent, string>();

/** An event by itself: its marks and its strings. */
export function eventKey(event: FingeringEvent): string {
  let key = known.get(event);
  if (key === undefined) {
    let marks = 0;
    for (const name of markNames) if (event[name]) marks += eventMarks[name];
    key = `${marks},${event.strings.join()}`;
    known.set(event, key);
  }
  return key;
}

function lineKey({ hand, events, locks, jumps }: FingeringLine, start: number): string {
  let key = hand === "right" ? "r" : "l";
  for (const { first, last } of locks?.placings ?? []) key += `${first}-${last} `;
  for (const { from, to, gapMicros } of jumps ?? []) key += `j${from},${to},${gapMicros}`;
  let before = start;
  for (let i = 0; i < events.length; i += 1) {
    const event = events[i]!;
    const joined = locks?.joined?.[i];
    key += `;${event.atMicros - before},${eventKey(event)}`;
    const row = locks?.fingers[i];
    if (row) for (let j = 0; j < row.length; j += 1) key += row[j] === undefined ? "." : `:${row[j]}`;
    if (joined !== undefined) key += joined ? "+" : "|";
    before = event.atMicros;
  }
  return key;
}
