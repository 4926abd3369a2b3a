import {
  type BothSolutions,
  costOf,
  cutOut,
  type HandLinesToSolve,
  type Occurrence,
  timesAround,
} from "./bothHands.ts";
import { solveBoth } from "./jumps.ts";
import { type Finger, type FingeringLine, fingers, type Solution } from "./model.ts";
import type { Weights } from "./weights.ts";

/** Ways to finger a stretch, with what surrounds it fingered to suit each. */
export interface Alternatives {
  /** The stretch and its surroundings: what the solutions below are about. */
  readonly lines: HandLinesToSolve;
  /** Where the lines above begin in the whole lines. */
  readonly offsets: { readonly right: number; readonly left: number };
  /** The stretch within the lines above. */
  readonly stretch: Occurrence;
  /** Cheapest first; each differs from the others in a finger or a bracket of the stretch. */
  readonly solutions: readonly (BothSolutions & { readonly totalMilli: number })[];
}

/** Events on each side that are searched together with a stretch. */
const contextEvents = 16;

/**
 * The best ways to finger a stretch of one hand that differ in it.
 *
 * Each answer splits what is left into parts by the first decision in which another fingering would depart from it,
 * and the best of every part is a candidate for the next; so the list is exact for the stretch with sixteen events on
 * each side, in both hands.
 *
 * @param count how many at most; fewer where there are no more.
 * Source: Lawler, "A procedure for computing the k best solutions to discrete optimization problems", 1972.
 */
export function alternatives(
  lines: HandLinesToSolve,
  stretch: Occurrence,
  count: number,
  weights: Weights,
): Alternatives {
  const around = surroundings(lines, stretch);
  const decisions = decisionsIn(around.lines[stretch.hand]!, around.stretch);
  const open: Part[] = [];
  const add = (settled: readonly Decided[]): void => {
    const solution = solveBoth(withDecisions(around.lines, around.stretch, settled), weights);
    const milli = costOf(solution);
    // A part that breaks a decision holds no fingering of its own.
    if (keeps(solution[stretch.hand]!, settled)) open.push({ settled, solution, milli });
  };
  add([]);
  const solutions: Alternatives["solutions"][number][] = [];
  while (open.length > 0 && solutions.length < count) {
    const { settled, solution, milli } = takeLeast(open);
    solutions.push({ ...solution, totalMilli: milli });
    if (solutions.length === count) break;
    let prefix = [...settled];
    for (const decision of decisions) {
      if (settled.some((known) => sameDecision(known.decision, decision))) continue;
      const value = valueIn(solution[stretch.hand]!, decision);
      for (const other of otherValues(decision, value)) add([...prefix, { decision, value: other }]);
      prefix = [...prefix, { decision, value }];
    }
  }
  return { ...around, solutions };
}

/** One thing that a fingering decides: a finger, or whether one placing holds two neighbouring events. */
type Decision =
  | { readonly kind: "finger"; readonly event: number; readonly stringAt: number }
  | { readonly kind: "joined"; readonly event: number };

type Value = Finger | boolean | undefined;

interface Decided {
  readonly decision: Decision;
  readonly value: Value;
}

/** All fingerings with some decisions settled, and the best of them. */
interface Part {
  readonly settled: readonly Decided[];
  readonly solution: BothSolutions;
  readonly milli: number;
}

function takeLeast(open: Part[]): Part {
  let least = 0;
  for (let i = 1; i < open.length; i += 1) if (open[i]!.milli < open[least]!.milli) least = i;
  return open.splice(least, 1)[0]!;
}

function decisionsIn(line: FingeringLine, { first, last }: Occurrence): Decision[] {
  const decisions: Decision[] = [];
  for (let event = first; event <= last; event += 1) {
    line.events[event]!.strings.forEach((_, stringAt) => {
      decisions.push({ kind: "finger", event, stringAt });
    });
    if (event < last) decisions.push({ kind: "joined", event });
  }
  return decisions;
}

function sameDecision(a: Decision, b: Decision): boolean {
  if (a.kind !== b.kind || a.event !== b.event) return false;
  return a.kind === "joined" || (b.kind === "finger" && a.stringAt === b.stringAt);
}

function valueIn(solution: Solution, decision: Decision): Value {
  if (decision.kind === "finger") return solution.fingers[decision.event]![decision.stringAt];
  return solution.placings.some(({ first, last }) => first <= decision.event && last > decision.event);
}

function otherValues(decision: Decision, value: Value): Value[] {
  if (decision.kind === "joined") return [!value];
  return value === undefined ? [] : fingers.filter((finger) => finger !== value);
}

function keeps(solution: Solution, settled: readonly Decided[]): boolean {
  return settled.every(({ decision, value }) => valueIn(solution, decision) === value);
}

function withDecisions(
  lines: HandLinesToSolve,
  stretch: Occurrence,
  settled: readonly Decided[],
): HandLinesToSolve {
  const line = lines[stretch.hand]!;
  const rows: (readonly (Finger | undefined)[] | undefined)[] = line.events.map(
    (_, i) => line.locks?.fingers[i],
  );
  const joined = line.events.map((_, i) => line.locks?.joined?.[i]);
  for (const { decision, value } of settled) {
    if (decision.kind === "joined") {
      joined[decision.event] = value as boolean;
    } else {
      const row = line.events[decision.event]!.strings.map((_, j) => rows[decision.event]?.[j]);
      row[decision.stringAt] = value as Finger | undefined;
      rows[decision.event] = row;
    }
  }
  const locks = { fingers: rows, placings: line.locks?.placings ?? [], joined };
  return { ...lines, [stretch.hand]: { ...line, locks } };
}

function surroundings(
  lines: HandLinesToSolve,
  stretch: Occurrence,
): Pick<Alternatives, "lines" | "offsets" | "stretch"> {
  const { from, to } = timesAround(lines[stretch.hand]!, stretch.first, stretch.last, contextEvents);
  const right = lines.right && cutOut(lines.right, from, to);
  const left = lines.left && cutOut(lines.left, from, to);
  const offsets = { right: right?.offset ?? 0, left: left?.offset ?? 0 };
  const offset = offsets[stretch.hand];
  return {
    lines: { right: right?.line, left: left?.line },
    offsets,
    stretch: { ...stretch, first: stretch.first - offset, last: stretch.last - offset },
  };
}
