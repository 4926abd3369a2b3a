import { type BothSolutions, costOf, cutOut, type HandLinesToSolve, solveWithoutJumps } from "./bothHands.ts";
import { cheapestJoint, jointTerms, LineCosts, type PlacingChoice } from "./costs.ts";
import {
  type Finger,
  type FingeringEvent,
  type FingeringLine,
  fingers,
  type HandName,
  type Jump,
  type JumpJoint,
  type Placing,
  type Solution,
} from "./model.ts";
import type { SearchTables } from "./searchTables.ts";
import { withLock } from "./solve.ts";
import type { Weights } from "./weights.ts";

/** Events on each side of a jump that its joint is chosen with. */
const contextEvents = 8;

/**
 * The best fingering of the hands that there are, together, with the joints over repeats, endings and other jumps: a
 * printed note has one fingering, but may be followed by several notes.
 *
 * No placing reaches over a barline that is jumped from or to. Of a joint over a jump only the fingers on its two notes
 * matter, so every pair of them that can make a difference is tried, jump after jump, with eight events on each side of
 * both barlines; the hands are then searched as a whole.
 *
 * @param known what earlier searches of the same music with other decisions found out.
 */
export function solveBoth(lines: HandLinesToSolve, weights: Weights, known?: SearchTables): BothSolutions {
  let settled = lines;
  for (const hand of ["right", "left"] as const) {
    for (const jump of lines[hand]?.jumps ?? []) settled = settle(settled, hand, jump, weights);
  }
  const solution = solveWithoutJumps(settled, weights, known);
  return {
    right: withJumps(lines.right, solution.right, weights),
    left: withJumps(lines.left, solution.left, weights),
  };
}

/** The lines with the fingers on both sides of a jump decided, when that is better than leaving them to themselves. */
function settle(lines: HandLinesToSolve, hand: HandName, jump: Jump, weights: Weights): HandLinesToSolve {
  const line = lines[hand]!;
  const from = line.events[jump.from]!.strings;
  const to = line.events[jump.to]!.strings;
  if (from.length > 1 || to.length > 1 || Math.abs(from[0]! - to[0]!) > weights.crossAtMostSteps)
    return lines;
  let best = { milli: costAround(lines, hand, jump, weights), lines };
  for (const last of fingers) {
    for (const first of fingers) {
      if (!matters(from[0]!, to[0]!, last, first)) continue;
      const tried = withFingers(lines, hand, jump, last, first);
      const milli = costAround(tried, hand, jump, weights);
      if (milli < best.milli) best = { milli, lines: tried };
    }
  }
  return best.lines;
}

/** Two fingers that can cross, or one finger or two on the same string. */
function matters(from: number, to: number, last: Finger, first: Finger): boolean {
  if (from === to) return true;
  return to > from ? last === 1 && first > 1 : last > 1 && first === 1;
}

function withFingers(
  lines: HandLinesToSolve,
  hand: HandName,
  jump: Jump,
  last: Finger,
  first: Finger,
): HandLinesToSolve {
  return { ...lines, [hand]: withLock(withLock(lines[hand]!, jump.from, 0, last), jump.to, 0, first) };
}

/** What the music on both sides of a jump costs, the jump included. */
function costAround(lines: HandLinesToSolve, hand: HandName, jump: Jump, weights: Weights): number {
  const line = lines[hand]!;
  const around = [jump.from, jump.to].map((event) => ({
    from: Math.max(0, event - contextEvents),
    to: Math.min(line.events.length - 1, event + contextEvents),
  }));
  const [a, b] = around as [{ from: number; to: number }, { from: number; to: number }];
  const apart = a.to < b.from || b.to < a.from;
  const windows = apart ? [a, b] : [{ from: Math.min(a.from, b.from), to: Math.max(a.to, b.to) }];
  let milli = 0;
  const placings = new Map<number, Placing>();
  for (const window of windows) {
    const [start, end] = [line.events[window.from]!.atMicros, line.events[window.to]!.atMicros];
    const right = lines.right && cutOut(lines.right, start, end);
    const left = lines.left && cutOut(lines.left, start, end);
    const solution = solveWithoutJumps({ right: right?.line, left: left?.line }, weights);
    milli += costOf(solution);
    const offset = (hand === "right" ? right : left)!.offset;
    for (const placing of solution[hand]!.placings) {
      placings.set(placing.last + offset, moved(placing, offset));
      if (!placings.has(placing.first + offset)) placings.set(placing.first + offset, moved(placing, offset));
    }
  }
  const before = placings.get(jump.from);
  const after = placings.get(jump.to);
  if (!before || !after) return milli;
  return milli + sumOf(jumpJoint(line, jump, before, after, weights));
}

function moved(placing: Placing, offset: number): Placing {
  return { ...placing, first: placing.first + offset, last: placing.last + offset };
}

function sumOf(joint: JumpJoint): number {
  return joint.terms.reduce((sum, term) => sum + term.milli, 0);
}

function withJumps(
  line: FingeringLine | undefined,
  solution: Solution | undefined,
  weights: Weights,
): Solution | undefined {
  if (!line?.jumps || line.jumps.length === 0 || !solution) return solution;
  const endingAt = new Map(solution.placings.map((placing) => [placing.last, placing]));
  const startingAt = new Map(solution.placings.map((placing) => [placing.first, placing]));
  const jumps = line.jumps.map((jump) =>
    jumpJoint(line, jump, endingAt.get(jump.from)!, startingAt.get(jump.to)!, weights),
  );
  return {
    ...solution,
    jumps,
    totalMilli: jumps.reduce((sum, joint) => sum + sumOf(joint), solution.totalMilli),
  };
}

/** The joint of two placings that follow each other over a jump, weighed as if they were printed side by side. */
function jumpJoint(
  line: FingeringLine,
  jump: Jump,
  before: Placing,
  after: Placing,
  weights: Weights,
): JumpJoint {
  const head = line.events.slice(Math.max(0, jump.from - contextEvents), jump.from + 1);
  const tail = line.events.slice(jump.to, jump.to + contextEvents);
  const landing = head[head.length - 1]!.atMicros + jump.gapMicros;
  const shift = landing - tail[0]!.atMicros;
  const events: FingeringEvent[] = [
    ...head,
    ...tail.map((event) => ({ ...event, atMicros: event.atMicros + shift, cutBefore: false })),
  ];
  const costs = new LineCosts({ hand: line.hand, events }, weights);
  const a = choiceOf(costs, before, head.length - 1 - jump.from);
  const b = choiceOf(costs, after, head.length - jump.to);
  const joint = cheapestJoint(costs, a, b)!;
  return { jump, joint, terms: jointTerms(costs, a, b, joint) };
}

function choiceOf(costs: LineCosts, placing: Placing, offset: number): PlacingChoice {
  const first = placing.first + offset;
  const last = placing.last + offset;
  const held = costs.strings.slice(first, last + 1).flatMap((strings, k) => {
    const row = placing.fingers[k]!.filter((finger) => finger !== undefined);
    return strings.map((string, j) => ({ string, finger: row[j]! }));
  });
  held.sort((a, b) => a.string - b.string);
  return {
    first,
    last,
    direction: placing.direction,
    strings: held.map(({ string }) => string),
    fingers: held.map(({ finger }) => finger),
  };
}
