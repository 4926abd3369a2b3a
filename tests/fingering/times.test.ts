import { describe, expect, test } from "vitest";
import type { FingeringEvent } from "../../shared/fingering/model.ts";
import { gapsOf } from "../../shared/fingering/times.ts";
import { defaultWeights } from "../../shared/fingering/weights.ts";
import { Evaluator } from "../support/evaluator.ts";
import { Dice, randomLine } from "../support/randomLines.ts";

/** Events with these times between them, in milliseconds. */
function eventsAfter(...gaps: number[]): FingeringEvent[] {
  let atMicros = 0;
  return [0, ...gaps].map((gap) => {
    atMicros += gap * 1000;
    return { strings: [28], atMicros };
  });
}

const felt = (events: readonly FingeringEvent[]) =>
  gapsOf(events, defaultWeights).felt.map((micros) => micros / 1000);

describe("how long a note is felt to be", () => {
  test("among equal notes even a slow one is not long", () => {
    expect(felt(eventsAfter(2000, 2000, 2000))).toEqual([600, 600, 600]);
  });

  test("one that is half as long again as its neighbours is", () => {
    expect(felt(eventsAfter(800, 800, 1200, 800, 800))).toEqual([600, 600, 1200, 600, 600]);
    expect(felt(eventsAfter(800, 800, 1199, 800, 800))).toEqual([600, 600, 600, 600, 600]);
  });

  test("short times are what they are", () => {
    expect(felt(eventsAfter(90, 300, 600, 300))).toEqual([90, 300, 600, 300]);
  });

  test("of an even number of neighbours the middle two are averaged", () => {
    // Around 1500 stand 800 and 1200: half as long again as their mean, 1000, but not as the upper one.
    expect(felt(eventsAfter(800, 1500, 1200))[1]).toBe(1500);
    expect(felt(eventsAfter(800, 1499, 1200))[1]).toBe(600);
  });

  test("four events to each side are neighbours, those further off are not", () => {
    const near = [3000, 3000, 3000, 3000];
    expect(felt(eventsAfter(...near, 2000, ...near))[4]).toBe(600);
    const far = [100, 100, 100, 100, 100];
    expect(felt(eventsAfter(...far, ...near, 2000, ...near, ...far))[9]).toBe(600);
    expect(felt(eventsAfter(...near, 100, 100, 100, 100, 2000, 100, 100, 100, 100, ...near))[8]).toBe(2000);
  });

  test("the last event follows nothing and has no neighbours' say", () => {
    expect(felt(eventsAfter(1000, 1000))).toEqual([600, 600]);
    expect(felt(eventsAfter(1000, 700))).toEqual([600, 600]);
    expect(felt(eventsAfter(1000, 600))).toEqual([1000, 600]);
  });

  test("a line of one or two events has nothing to compare with", () => {
    expect(felt(eventsAfter())).toEqual([]);
    expect(felt(eventsAfter(2000))).toEqual([2000]);
  });

  test("a fermata makes a note long whatever stands around it", () => {
    const events = eventsAfter(1000, 1000, 1000).map((event, i) => ({ ...event, held: i === 1 }));
    expect(felt(events)).toEqual([600, 1000, 600]);
  });

  test("events at one time have no time between them", () => {
    expect(gapsOf(eventsAfter(0, 500), defaultWeights)).toEqual({ raw: [0, 500_000], felt: [0, 500_000] });
  });

  test("agrees with another way of counting on 1,000 random lines", () => {
    for (let seed = 0; seed < 1_000; seed++) {
      const line = randomLine(new Dice(seed), { events: 1 + (seed % 20) });
      expect(gapsOf(line.events, defaultWeights).felt).toEqual(new Evaluator(line).felt);
    }
  });
});
