import { describe, expect, test } from "vitest";
import { choicesFrom, fingersAt } from "../../shared/fingering/choices.ts";
import {
  cheapestJoint,
  jointMilli,
  LineCosts,
  type PlacingChoice,
  total,
} from "../../shared/fingering/costs.ts";
import type { FingeringLine, Joint } from "../../shared/fingering/model.ts";
import { defaultWeights } from "../../shared/fingering/weights.ts";
import { type BarePlacing, Evaluator } from "../support/evaluator.ts";
import { notesOn } from "../support/lines.ts";
import { Dice, randomLine } from "../support/randomLines.ts";

const connections = ["overlap", "cross", "separate"] as const;

/** A choice of the search as the evaluator takes it. */
function bare(costs: LineCosts, choice: PlacingChoice, joint: Joint = "start"): BarePlacing {
  const fingers = [];
  for (let event = choice.first; event <= choice.last; event++) fingers.push(fingersAt(costs, choice, event));
  return { first: choice.first, last: choice.last, joint, fingers };
}

function jointCost(costs: LineCosts, a: PlacingChoice, b: PlacingChoice, joint: Joint): number {
  return total((charge) => {
    if (joint === "overlap") costs.overlap(charge);
    else if (joint === "cross") costs.cross(a, b, charge);
    else costs.separate(a, b, charge);
  });
}

const same = (a: { joint: Joint; milli: number }, b: typeof a) => a.joint === b.joint && a.milli === b.milli;

/** Which joints the search allows between two placings. */
function allowed(costs: LineCosts, a: PlacingChoice, b: PlacingChoice): Joint[] {
  return connections.filter((joint) => {
    if (joint === "overlap") return costs.overlaps(a, b);
    return joint === "cross" ? costs.crosses(a, b) : b.first === a.last + 1;
  });
}

describe("every placing and every joint, not only those of the best fingering, is weighed alike twice", () => {
  // The best fingerings never come near some prices: those are compared here and nowhere else.
  function compare(line: FingeringLine): number {
    const costs = new LineCosts(line, defaultWeights);
    const evaluator = new Evaluator(line);
    const choices = line.events.map((_, first) => choicesFrom(costs, first));
    const differences: unknown[] = [];
    let compared = 0;
    for (const a of choices.flat()) {
      const from = bare(costs, a);
      const [once, twice] = [total((charge) => costs.placing(a, charge)), evaluator.placing(from)];
      if (once !== twice) differences.push({ placing: from, once, twice });
      for (const b of [...choices[a.last]!, ...(choices[a.last + 1] ?? [])]) {
        const to = bare(costs, b);
        const once = allowed(costs, a, b).map((joint) => ({ joint, milli: jointCost(costs, a, b, joint) }));
        const twice = connections
          .map((joint) => ({ ...to, joint }))
          .filter((next) => evaluator.jointFaults(from, next).length === 0)
          .map((next) => ({ joint: next.joint, milli: evaluator.joint(from, next) }));
        const alike = twice.length === once.length && twice.every((one, i) => same(one, once[i]!));
        if (!alike) differences.push({ from, to, once, twice });
        const joint = cheapestJoint(costs, a, b);
        const cheapest = joint && jointMilli(costs, a, b, joint);
        const least = Math.min(...twice.map(({ milli }) => milli));
        if ((cheapest ?? Number.POSITIVE_INFINITY) !== least) differences.push({ from, to, cheapest, least });
        compared += 1;
      }
    }
    expect(differences, JSON.stringify(line)).toEqual([]);
    return compared;
  }

  test("on 300 random lines of one to six events", () => {
    let compared = 0;
    for (let seed = 0; seed < 300; seed++) {
      const line = randomLine(new Dice(600_000 + seed), { events: 1 + (seed % 6), rolls: 0.3 });
      compared += compare(line);
    }
    expect(compared).toBeGreaterThan(40_000);
  });

  test("on chords of every shape up to a fifteenth, struck and rolled", () => {
    for (const rolled of [false, true]) {
      for (let lower = 1; lower <= 14; lower++) {
        for (let middle = 0; middle + lower <= 14; middle++) {
          for (let upper = 0; upper + middle + lower <= 14; upper++) {
            const strings = [...new Set([24, 24 + lower, 24 + lower + middle, 24 + lower + middle + upper])];
            compare({ hand: "left", events: [{ strings, atMicros: 0, rolled }] });
          }
        }
      }
    }
  });

  test("at every time between two notes from 0 to 2.5 seconds, on the same string and on others", () => {
    for (let millis = 0; millis <= 2_500; millis += 10) {
      for (const steps of [0, 1, -1, 3, -3, 8]) compare(notesOn([20, 20 + steps], millis / 1000));
    }
  });

  test("with a long note wherever it can stand", () => {
    for (const long of [0.79, 0.81, 0.9, 1.19, 1.21, 1.39, 1.41, 2]) {
      for (let at = 0; at < 4; at++) {
        for (const strings of [
          [28, 29, 30, 31, 32],
          [32, 31, 30, 29, 28],
          [28, 29, 30, 29, 28],
          [28, 30, 29, 31, 30],
        ]) {
          let atMicros = 0;
          const events = strings.map((string, i) => {
            const event = { strings: [string], atMicros };
            atMicros += i === at ? long * 1e6 : 300_000;
            return event;
          });
          compare({ hand: "right", events });
        }
      }
    }
  });
});

test("two notes: 1 and 2 up to a fourth, 1 and 3 for a fifth or sixth, 1 and 4 from a seventh to a twelfth", () => {
  // Common practice, no source. The rule is not written anywhere in the engine: it is the cheapest of each column.
  const columns = Array.from({ length: 11 }, (_, i) => {
    const { stretch } = defaultWeights;
    const prices = (["1-2", "1-3", "1-4"] as const).map(
      (pair) => stretch[pair]![i + 1] ?? Number.POSITIVE_INFINITY,
    );
    return ["1-2", "1-3", "1-4"][prices.indexOf(Math.min(...prices))];
  });
  expect(columns).toEqual([
    ...["1-2", "1-2", "1-2"],
    ...["1-3", "1-3"],
    ...["1-4", "1-4", "1-4", "1-4", "1-4", "1-4"],
  ]);
});
