import { describe, expect, test } from "vitest";
import type { Finger, FingeringLine, Locks, Solution, Term } from "../../shared/fingering/model.ts";
import { costByFinger, solve } from "../../shared/fingering/solve.ts";
import { defaultWeights, type Weights } from "../../shared/fingering/weights.ts";
import { comparePreference, digitsOf, exhaust, spell, visitAll } from "../support/enumerate.ts";
import { type BarePlacing, Evaluator } from "../support/evaluator.ts";
import { lineOf, notesOn, scale, withFingers } from "../support/lines.ts";
import { Dice, randomLine } from "../support/randomLines.ts";

describe("what is tried is everything", () => {
  test.each([
    [5, 5_970],
    [8, 1_426_858],
  ])("a scale of %i notes has %i fingerings", (notes, count) => {
    expect(exhaust(notesOn(scale(notes))).count).toBe(count);
  });

  test("two notes have 25: six hands placed, sixteen come off between, three crossings", () => {
    const written: string[] = [];
    visitAll(notesOn([28, 29]), (placings) => written.push(spell(placings)));
    expect(written.filter((one) => one.includes(" x "))).toEqual(["1 x 2", "1 x 3", "1 x 4"]);
    expect(written.filter((one) => one.includes(" | "))).toHaveLength(16);
    expect(new Set(written).size).toBe(25);
  });

  test("every fingering that is tried is one, and costs what adding it up from scratch gives", () => {
    for (let seed = 0; seed < 60; seed++) {
      const line = randomLine(new Dice(seed), { events: 1 + (seed % 4) });
      const evaluator = new Evaluator(line);
      visitAll(line, (placings, totalMilli) => {
        expect(evaluator.whole(placings)).toEqual({ totalMilli, faults: [] });
      });
    }
  });
});

describe("the search finds the cheapest fingering", () => {
  test.each([
    [1, 200],
    [2, 400],
    [3, 600],
    [4, 600],
    [5, 600],
    [6, 400],
    [7, 300],
  ])("lines of %i events: trying everything agrees on %i random ones", (events, lines) => {
    for (let seed = 0; seed < lines; seed++) {
      agree(randomLine(new Dice(events * 100_000 + seed), { events }), `seed ${seed}`);
    }
  });

  test("around decided fingers and placings too: 1,500 random lines of one to six events", () => {
    for (let seed = 0; seed < 1_500; seed++) {
      const dice = new Dice(800_000 + seed);
      const line = randomLine(dice, { events: 1 + (seed % 6) });
      agree({ ...line, locks: locksThatFit(line, dice) }, `seed ${seed}`);
    }
  });

  test("the random lines put every joint and every cost to use", () => {
    const seen = new Set<string>();
    for (let seed = 0; seed < 2_000; seed++) {
      const { placings } = solve(randomLine(new Dice(seed), { events: 7 }), defaultWeights);
      for (const { joint, placingTerms, jointTerms } of placings) {
        seen.add(joint);
        for (const { name } of [...placingTerms, ...jointTerms]) seen.add(name);
      }
    }
    const joints = ["start", "separate", "overlap", "cross"];
    const placed = ["base", "stretch", "outer", "cramped", "thumb", "weakFinger", "single", "waiting"];
    const joined = ["leap", "sameString", "skip", "turn", "tooWide", "tooFast"];
    expect([...seen].sort()).toEqual([...joints, ...placed, ...joined].sort());
  });

  test("the cost of each finger on each note is the least of all fingerings that have it there", () => {
    for (let seed = 0; seed < 150; seed++) {
      const line = randomLine(new Dice(900_000 + seed), { events: 1 + (seed % 4) });
      const least = line.events.map(({ strings }) => strings.map(() => new Map<Finger, number>()));
      visitAll(line, (placings, totalMilli) => {
        digitsOf(placings).forEach((own, event) => {
          own.forEach((finger, j) => {
            const known = least[event]![j]!;
            known.set(finger!, Math.min(totalMilli, known.get(finger!) ?? totalMilli));
          });
        });
      });
      least.forEach((chord, event) => {
        chord.forEach((known, j) => {
          const wanted = [undefined, ...([1, 2, 3, 4] as const).map((finger) => known.get(finger))];
          const found = costByFinger(line, defaultWeights, event, j);
          expect([0, 1, 2, 3, 4].map((finger) => found[finger])).toEqual(wanted);
        });
      });
    }
  });
});

describe("equal totals", () => {
  test("where nothing costs anything, only the order among equals decides: 400 random lines", () => {
    for (let seed = 0; seed < 400; seed++) {
      const line = randomLine(new Dice(700_000 + seed), { events: 1 + (seed % 5), chords: 0.4 });
      let wanted: BarePlacing[] | undefined;
      visitAll(line, (placings) => {
        if (!wanted || comparePreference(placings, wanted) < 0) wanted = [...placings];
      });
      const found = solve(line, free);
      expect(found.totalMilli).toBe(0);
      expect(comparePreference(found.placings, wanted!), `seed ${seed}: ${spell(found.placings)}`).toBe(0);
    }
  });

  test("chords on the way do not upset the order of digits", () => {
    // The turn can be shared before the chord or after it: three placings of two either way, told apart by digits only.
    const line = withFingers(lineOf("G3 C3 G3+B3 C3 G3"), ". 3 . . .");
    expect(spell(solve(line, free).placings)).toBe("1 3 o 3 2+1 | 2 1");
  });

  test("fewer placings come first, then longer earlier ones, then smaller digits", () => {
    const order = (...written: BarePlacing[][]) => written.toSorted(comparePreference).map(spell);
    const [one, two] = [[[1], [2]] as const, [[2], [1]] as const];
    const whole: BarePlacing[] = [{ first: 0, last: 2, joint: "start", fingers: [[3], [2], [1]] }];
    const long: BarePlacing[] = [
      { first: 0, last: 1, joint: "start", fingers: two },
      { first: 2, last: 2, joint: "separate", fingers: [[2]] },
    ];
    const late: BarePlacing[] = [
      { first: 0, last: 0, joint: "start", fingers: [[1]] },
      { first: 1, last: 2, joint: "separate", fingers: two },
    ];
    const small: BarePlacing[] = [
      { first: 0, last: 1, joint: "start", fingers: one },
      { first: 2, last: 2, joint: "separate", fingers: [[2]] },
    ];
    expect(order(late, long, whole, small)).toEqual(["3 2 1", "1 2 | 2", "2 1 | 2", "1 | 2 1"]);
  });
});

/** The search and trying everything must say the same, to the last thousandth. */
function agree(line: FingeringLine, name: string): void {
  const found = solve(line, defaultWeights);
  const { totalMilli, best } = exhaust(line);
  const message = `${name}: ${spell(found.placings)}, best ${best.map(spell).join(", ")}`;
  expect(found.totalMilli, message).toBe(totalMilli);

  const evaluator = new Evaluator(line);
  expect(evaluator.whole(found.placings), message).toEqual({ totalMilli, faults: [] });
  expectOwnSums(found, evaluator, message);

  const preferred = best.toSorted(comparePreference)[0]!;
  expect(comparePreference(found.placings, preferred), message).toBe(0);
  expect(found.fingers, message).toEqual(digitsOf(found.placings));
  for (const { first, last, direction } of found.placings) {
    const [from, to] = [line.events[first]!.strings[0]!, line.events[last]!.strings[0]!];
    expect(direction, message).toBe(first === last ? "together" : from < to ? "rising" : "falling");
  }
}

/** The terms explain the total: each placing's and each joint's add up to what it costs. */
function expectOwnSums(found: Solution, evaluator: Evaluator, message: string): void {
  const sum = (terms: readonly Term[]) => terms.reduce((total, { milli }) => total + milli, 0);
  let total = 0;
  found.placings.forEach((placing, i) => {
    const before = found.placings[i - 1];
    const joining = before ? evaluator.joint(before, placing) : 0;
    expect(sum(placing.placingTerms), message).toBe(evaluator.placing(placing));
    expect(sum(placing.jointTerms), message).toBe(joining);
    total += sum(placing.placingTerms) + sum(placing.jointTerms);
  });
  expect(total, message).toBe(found.totalMilli);
}

/** Some of the fingers and placings of one fingering, cheap or dear, so that all of them can be kept at once. */
function locksThatFit(line: FingeringLine, dice: Dice): Locks {
  const most = dice.chance(0.5) ? Number.POSITIVE_INFINITY : solve(line, defaultWeights).totalMilli + 3_000;
  let model: readonly BarePlacing[] = [];
  let count = 0;
  visitAll(line, (placings, totalMilli) => {
    if (totalMilli > most) return;
    count += 1;
    if (dice.chance(1 / count)) model = [...placings];
  });
  const fingers = digitsOf(model).map((own) => own.map((finger) => (dice.chance(0.3) ? finger : undefined)));
  const placings = model.filter(() => dice.chance(0.4)).map(({ first, last }) => ({ first, last }));
  return { fingers, placings };
}

/** A table in which everything is free; only a decision that cannot be kept still costs. */
const free: Weights = {
  ...defaultWeights,
  base: 0,
  beyondReachPerStep: 0,
  stretch: freeRows(defaultWeights.stretch),
  outer: freeRows(defaultWeights.outer),
  cramped: { ...defaultWeights.cramped, cost: 0 },
  thumb: 0,
  weakFinger: 0,
  single: { ...defaultWeights.single, usual: [0, 0, 0, 0, 0], lowLeft: [0, 0, 0, 0, 0] },
  hold: { ...defaultWeights.hold, cost: 0 },
  overlap: 0,
  cross: [0, 0, 0, 0, 0],
  skip: 0,
  turn: 0,
  separate: { ...defaultWeights.separate, cost: 0, rush: 0 },
  leap: { ...defaultWeights.leap, perStep: 0 },
  sameString: { ...defaultWeights.sameString, slow: 0, fast: 0, otherFinger: 0 },
  impossible: 0,
  rolled: { ...defaultWeights.rolled, perStep: 0 },
};

function freeRows(rows: Weights["stretch"]): Weights["stretch"] {
  return Object.fromEntries(
    Object.entries(rows).map(([pair, row]) => [
      pair,
      Object.fromEntries(Object.keys(row).map((steps) => [steps, 0])),
    ]),
  );
}
