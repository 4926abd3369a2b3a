import { describe, expect, test } from "vitest";
import { choicesFrom, mostChoices } from "../../shared/fingering/choices.ts";
import { jointTerms, LineCosts, type PlacingChoice } from "../../shared/fingering/costs.ts";
import type { ChainLink } from "../../shared/fingering/describeSolution.ts";
import { HandTable, type TableNode } from "../../shared/fingering/handTable.ts";
import type { FingeringLine, HandName, Joint, Solution, Term } from "../../shared/fingering/model.ts";
import { sumTerms } from "../../shared/fingering/model.ts";
import { weightsFor } from "../../shared/fingering/profile.ts";
import { solve } from "../../shared/fingering/solve.ts";
import { sharedTerms, solveTogether } from "../../shared/fingering/solveTogether.ts";
import { defaultWeights, type Weights } from "../../shared/fingering/weights.ts";
import { spell } from "../support/enumerate.ts";
import { lineOf, notesOn, scale, withFingers } from "../support/lines.ts";
import { Dice, randomLine } from "../support/randomLines.ts";

const never = weightsFor({ slides: "never" });
const asWritten = defaultWeights;
const propose = weightsFor({ slides: "propose" });

const spelled = (line: FingeringLine, weights: Weights): string => spell(solve(line, weights).placings);

/** The line with these fingers decided, and the print saying so. */
function printed(line: FingeringLine, written: string): FingeringLine {
  const locked = withFingers(line, written);
  const digits = locked.locks!.fingers.map((row) => row?.[0]);
  const events = line.events.map((event, i) => ({
    ...event,
    slidesOn: digits[i] !== undefined && digits[i] === digits[i + 1],
  }));
  return { ...locked, events };
}

// E. Volpé Bligh, Writing for the pedal harp: the thumb slides downwards; 4 upwards, which is tricky.
describe("five notes one way", () => {
  const down = lineOf("G4 F4 E4 D4 C4");
  const up = lineOf("C4 D4 E4 F4 G4");

  test("slides are proposed only to those who ask for them", () => {
    expect(spelled(up, never)).toBe("2 1 x 3 2 1");
    expect(spelled(up, asWritten)).toBe("2 1 x 3 2 1");
    expect(spelled(up, propose)).toBe("4 4 3 2 1");
    expect(spelled(down, asWritten)).toBe("1 2 3 x 1 2");
    expect(spelled(down, propose)).toBe("1 1 2 3 4");
  });

  test("a printed slide is one placing, unless slides are never wanted", () => {
    expect(spelled(printed(down, "1 1 2 3 4"), asWritten)).toBe("1 1 2 3 4");
    expect(spelled(printed(down, "1 1 . . ."), asWritten)).toBe("1 1 2 3 4");
    expect(spelled(printed(up, "4 4 . . ."), asWritten)).toBe("4 4 3 2 1");
    expect(spelled(printed(down, "1 1 . . ."), never)).toContain("1 | 1");
    // Decided by somebody else than the print: no slide was asked for.
    expect(spelled(withFingers(down, "1 1 . . ."), asWritten)).toContain("1 | 1");
  });

  test("only the thumb slides down and only 4 up, to the neighbouring string", () => {
    for (const [line, fingers] of [
      [down, "4 4 . . ."],
      [down, "2 2 . . ."],
      [up, "1 1 . . ."],
      [lineOf("A4 F4 E4"), "1 1 ."],
      [lineOf("C4 E4 F4"), "4 4 ."],
      [lineOf("G4 E4+F4"), "1 .+1"],
      [lineOf("C4 C4"), "1 1"],
    ] as const) {
      const locked = printed(line, fingers);
      const sliding = solve(locked, propose).placings.filter((placing) => slides(placing));
      const start = locked.locks!.fingers[0]![0]!;
      for (const placing of sliding)
        expect(placing.first === 0 && placing.fingers[0]![0] === start).toBe(false);
    }
  });

  test("a slide costs what the table says, and the fingers stand as they do before it", () => {
    const found = solve(down, propose);
    expect(Object.fromEntries(sumTerms(found.placings))).toEqual({
      base: asWritten.base,
      slide: asWritten.slide,
      weakFinger: asWritten.weakFinger,
    });
    // 1 slides from B4 to A4, 4 stands on C4: a seventh for the hand as it is set.
    const wide = solve(printed(lineOf("B4 A4 C4"), "1 1 4"), asWritten);
    expect(wide.totalMilli).toBe(asWritten.base + asWritten.slide + asWritten.weakFinger);
    // 4 slides from C4 to D4 and both of its notes are weak; 3 stands on E4, a third from C4.
    const rising = Object.fromEntries(sumTerms(solve(up, propose).placings));
    expect(rising).toEqual({ base: 500, slide: 800, weakFinger: 400, stretch: 100 });
  });

  test("a run goes on from a slide and into one by crossing or turning", () => {
    const run = printed(notesOn(scale(-9, 36)), "1 1 2 3 4 1 2 3 4");
    expect(spelled(run, asWritten)).toBe("1 1 2 3 4 x 1 2 3 4");
    const later = printed(notesOn(scale(-8, 36)), "1 2 3 1 1 2 3 4");
    expect(spelled(later, asWritten)).toBe("1 2 3 x 1 1 2 3 4");
    const turn = printed(lineOf("G4 F4 E4 D4 C4 D4 E4 F4"), "1 1 2 3 4 3 2 1");
    expect(spelled(turn, asWritten)).toBe("1 1 2 3 4 o 4 3 2 1");
  });
});

describe("the placings that can begin", () => {
  test("are eight more where a slide can, and never more than the search has room for", () => {
    for (const count of [5, -5, 6]) {
      const line = notesOn(scale(count));
      expect(choicesFrom(new LineCosts(line, asWritten), 0)).toHaveLength(15);
      expect(choicesFrom(new LineCosts(line, propose), 0)).toHaveLength(mostChoices);
    }
  });

  test("slide once at most, over at most five notes, fingers in order: 300 random lines", () => {
    const isPlayable = ({ fingers, strings, slide }: PlacingChoice): boolean => {
      const steps = fingers.slice(1).map((finger, i) => fingers[i]! - finger);
      return (
        fingers.length === strings.length &&
        strings.length <= (slide ? 5 : 4) &&
        steps.every((step) => step >= 0) &&
        steps.filter((step) => step === 0).length === (slide ? 1 : 0)
      );
    };
    for (let seed = 0; seed < 300; seed += 1) {
      const line = randomLine(new Dice(1_600_000 + seed), { events: 6 });
      const costs = new LineCosts(line, propose);
      const choices = line.events.flatMap((_, first) => choicesFrom(costs, first));
      expect(choices.filter((choice) => !isPlayable(choice))).toEqual([]);
    }
  });
});

describe("the searches agree with slides", () => {
  test("being allowed more never costs more, and slides are among the terms: 500 random lines", () => {
    let used = 0;
    for (let seed = 0; seed < 500; seed += 1) {
      const line = randomLine(new Dice(1_700_000 + seed), { events: 9, chords: 0.1 });
      const [free, without] = [solve(line, propose), solve(line, never)];
      expect(free.totalMilli).toBeLessThanOrEqual(without.totalMilli);
      const terms = sumTerms(free.placings);
      expect([...terms.values()].reduce((sum, milli) => sum + milli, 0)).toBe(free.totalMilli);
      expect(terms.get("slide") ?? 0).toBe(asWritten.slide * free.placings.filter(slides).length);
      used += free.placings.filter(slides).length;
    }
    expect(used).toBeGreaterThan(20);
  });

  test("every way to place the notes tried one by one: the search finds the cheapest, 300 random lines", () => {
    for (let seed = 0; seed < 300; seed += 1) {
      const line = randomLine(new Dice(1_800_000 + seed), { events: 2 + (seed % 5) });
      expect(solve(line, propose).totalMilli, `seed ${seed}`).toBe(leastByTrying(line, propose));
    }
  });

  test("both hands together: every pair of chains tried, 120 random pairs of two and three events", () => {
    for (let seed = 0; seed < 120; seed += 1) {
      const dice = new Dice(1_900_000 + seed);
      // Close together in time and place, so that looks meet and strings are shared.
      const at = dice.whole(18, 26);
      const right = slidingLine(dice, "right", 2, at + dice.whole(-2, 8));
      const left = slidingLine(dice, "left", 3, at);
      const tables = [new HandTable(right, left, propose), new HandTable(left, right, propose)] as const;
      const chains = tables.map(chainsOf) as [WeighedChain[], WeighedChain[]];
      let least = Number.POSITIVE_INFINITY;
      for (const a of chains[0]) {
        for (const b of chains[1]) {
          if (a.milli + b.milli >= least) continue;
          const shared = sharedTerms(tables, [a.links, b.links], propose).flat();
          const meeting = shared.map(
            ({ glance, oneString, interlocked }) => glance + oneString + interlocked,
          );
          least = Math.min(
            least,
            meeting.reduce((sum, milli) => sum + milli, a.milli + b.milli),
          );
        }
      }
      expect(solveTogether(right, left, propose).totalMilli, `seed ${seed}`).toBe(least);
    }
  });

  test("both hands together on long lines: whole, and no cheaper than each alone; 60 random pairs", () => {
    for (let seed = 0; seed < 60; seed += 1) {
      const dice = new Dice(1_950_000 + seed);
      const right = randomLine(dice, { events: 8, hand: "right", lowest: 21, chords: 0.1 });
      const left = randomLine(dice, { events: 8, hand: "left", chords: 0.1 });
      const both = solveTogether(right, left, propose);
      const alone = solve(right, propose).totalMilli + solve(left, propose).totalMilli;
      expect(both.totalMilli).toBeGreaterThanOrEqual(alone);
      expectWhole(right, both.right);
      expectWhole(left, both.left);
    }
    const down = notesOn(scale(-9, 42));
    const both = solveTogether(down, notesOn(scale(-9, 28), 0.3, "left"), propose);
    expect(both.right.placings.some(slides)).toBe(true);
    expect(both.left.placings.some(slides)).toBe(true);
  });
});

function slides({ fingers }: Solution["placings"][number]): boolean {
  return fingers.some((row, k) => k > 0 && row[0] === fingers[k - 1]![0]);
}

function expectWhole(line: FingeringLine, solution: Solution): void {
  let next = 0;
  for (const { first, last, joint } of solution.placings) {
    expect(first).toBe(joint === "overlap" ? next - 1 : next);
    next = last + 1;
  }
  expect(next).toBe(line.events.length);
}

/** Walks through every chain of placings; costs are asked of the same table, the way is found by trying. */
function leastByTrying(line: FingeringLine, weights: Weights): number {
  const costs = new LineCosts(line, weights);
  const end = line.events.length - 1;
  const choices = line.events.map((_, first) => choicesFrom(costs, first));
  const added = (weigh: (charge: (name: string, milli: number) => void) => void): number => {
    let sum = 0;
    weigh((_, milli) => {
      sum += milli;
    });
    return sum;
  };
  type Choice = (typeof choices)[number][number];
  const known = new Map<Choice, number>();
  const rest = (a: Choice): number => {
    const found = known.get(a);
    if (found !== undefined) return found;
    let least = a.last === end ? 0 : Number.POSITIVE_INFINITY;
    for (const b of [...choices[a.last]!, ...(choices[a.last + 1] ?? [])]) {
      if (b.first === a.last && costs.overlaps(a, b)) {
        least = Math.min(least, added((charge) => costs.overlap(charge)) + rest(b));
      }
      if (b.first !== a.last + 1) continue;
      least = Math.min(least, added((charge) => costs.separate(a, b, charge)) + rest(b));
      if (costs.crosses(a, b))
        least = Math.min(least, added((charge) => costs.cross(a, b, charge)) + rest(b));
    }
    const total = added((charge) => costs.placing(a, charge)) + least;
    known.set(a, total);
    return total;
  };
  return Math.min(...choices[0]!.map(rest));
}

/** Single notes that mostly go on to the next string, at times that make both hands look. */
function slidingLine(dice: Dice, hand: HandName, events: number, from: number): FingeringLine {
  const step = dice.oneOf([1, -1]);
  const strings = [from];
  while (strings.length < events)
    strings.push(strings.at(-1)! + (dice.chance(0.7) ? step : dice.whole(-9, 9)));
  const seconds = dice.oneOf([0.25, 0.4, 0.9, 1.3]);
  const line = notesOn(strings, seconds, hand);
  const late = dice.oneOf([0, 100_000]);
  return { ...line, events: line.events.map((event) => ({ ...event, atMicros: event.atMicros + late })) };
}

interface WeighedChain {
  readonly links: readonly ChainLink[];
  readonly milli: number;
}

/** Every chain of placings through a line, by trying. */
function chainsOf(table: HandTable): WeighedChain[] {
  const { costs, nodes } = table;
  const end = costs.eventCount - 1;
  const found: WeighedChain[] = [];
  const go = (links: readonly ChainLink[], milli: number): void => {
    const a = links.at(-1)!.node;
    if (a.last === end) found.push({ links, milli });
    const join = (node: TableNode, joint: Joint): void =>
      go(
        [...links, { node, joint, look: table.lookInto(node.first, joint) }],
        milli + node.milli + addedUp(jointTerms(costs, a.choice, node.choice, joint)),
      );
    for (const b of nodes[a.last]!) if (costs.overlaps(a.choice, b.choice)) join(b, "overlap");
    for (const b of nodes[a.last + 1] ?? []) {
      join(b, "separate");
      if (costs.crosses(a.choice, b.choice)) join(b, "cross");
    }
  };
  for (const node of nodes[0]!) go([{ node, joint: "start", look: 0 }], node.milli);
  return found;
}

const addedUp = (terms: readonly Term[]): number => terms.reduce((sum, { milli }) => sum + milli, 0);
