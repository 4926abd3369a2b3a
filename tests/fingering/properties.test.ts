import { describe, expect, test } from "vitest";
import { choicesFrom } from "../../shared/fingering/choices.ts";
import { LineCosts, total } from "../../shared/fingering/costs.ts";
import type { Finger, FingeringLine, Joint } from "../../shared/fingering/model.ts";
import { costByFinger, solve, withLock } from "../../shared/fingering/solve.ts";
import { defaultWeights, type Weights } from "../../shared/fingering/weights.ts";
import { exhaust, spell } from "../support/enumerate.ts";
import type { BarePlacing } from "../support/evaluator.ts";
import { withPlacings } from "../support/lines.ts";
import {
  backwards,
  Dice,
  type LineShape,
  otherHand,
  randomLine,
  shifted,
  slowed,
} from "../support/randomLines.ts";

const lines = 1_000;

/** The low left-hand rule ends here: what lies above is fingered alike in both hands. */
const aboveTheLowRule = 21;

/** `lines` random lines of one to twelve events, each with dice for what else is random. */
function forEachLine(
  seedFrom: number,
  shape: Partial<LineShape>,
  check: (line: FingeringLine, dice: Dice) => void,
) {
  for (let i = 0; i < lines; i++) {
    const dice = new Dice(seedFrom + i);
    check(randomLine(dice, { events: dice.whole(1, 12), ...shape }), dice);
  }
}

const optimum = (line: FingeringLine) => solve(line, defaultWeights);

describe("mirror: music of equal notes played backwards", () => {
  test("costs the same", () => {
    forEachLine(10_000, { even: true }, (line) => {
      expect(optimum(backwards(line)).totalMilli).toBe(optimum(line).totalMilli);
    });
  });

  test("has the same optimal fingerings backwards: 400 lines of one to six events, by trying everything", () => {
    for (let i = 0; i < 400; i++) {
      const line = randomLine(new Dice(20_000 + i), { events: 1 + (i % 6), even: true });
      const there = exhaust(line).best.map((placings) => spell(reversed(placings, line.events.length)));
      const back = exhaust(backwards(line)).best.map(spell);
      expect(back.sort()).toEqual(there.sort());
      expect(there).toContain(spell(reversed(optimum(line).placings, line.events.length)));
    }
  });
});

test("transposition by any number of strings changes nothing", () => {
  forEachLine(30_000, {}, (line, dice) => {
    const hand = dice.chance(0.5) ? "right" : "left";
    const steps = hand === "right" ? dice.whole(-7, 14) : dice.whole(0, 14);
    const lifted = hand === "right" ? line : shifted(line, aboveTheLowRule);
    expectSame(shifted({ ...lifted, hand }, steps), { ...lifted, hand });
  });
});

test("the other hand fingers alike, low left-hand notes apart", () => {
  forEachLine(40_000, { lowest: aboveTheLowRule }, (line) => expectSame(otherHand(line), line));
});

test("a low single note in the left hand is the exception", () => {
  const low: FingeringLine = { hand: "left", events: [{ strings: [20], atMicros: 0 }] };
  expect(optimum(low).fingers).toEqual([[4]]);
  expect(optimum(shifted(low, 1)).fingers).toEqual([[2]]);
  expect(optimum(otherHand(low)).fingers).toEqual([[2]]);
});

describe("decisions", () => {
  test("one more decision never lowers the cost, whether or not it can be kept", () => {
    forEachLine(50_000, {}, (free, dice) => {
      let line = free;
      let before = optimum(line).totalMilli;
      for (let decided = 0; decided < 4; decided++) {
        line = dice.chance(0.7) ? withRandomFinger(line, dice) : withRandomPlacing(line, dice);
        const after = optimum(line).totalMilli;
        expect(after).toBeGreaterThanOrEqual(before);
        before = after;
      }
    });
  });

  test("deciding what is found anyway changes nothing", () => {
    forEachLine(60_000, {}, (line) => {
      const found = optimum(line);
      const locks = {
        fingers: found.fingers,
        placings: found.placings.map(({ first, last }) => ({ first, last })),
      };
      expect(optimum({ ...line, locks })).toEqual(found);
    });
  });

  test("no note is better off with another finger than it has", () => {
    forEachLine(70_000, { events: 4 }, (line) => {
      const { fingers, totalMilli } = optimum(line);
      fingers.forEach((own, event) => {
        own.forEach((finger, j) => {
          const costs = costByFinger(line, defaultWeights, event, j);
          expect(costs[finger!]).toBe(totalMilli);
          for (const cost of costs) expect(cost ?? totalMilli).toBeGreaterThanOrEqual(totalMilli);
        });
      });
    });
  });
});

describe("slowing the tempo", () => {
  /** Whole multiples, so that no time is rounded: 2 : 3 : 4 : 6 : 12 of one line. */
  const paces = [2, 3, 4, 6, 12];

  test("never makes a connected joint or a placing cheaper, nor coming off dearer", () => {
    forEachLine(80_000, { events: 6 }, (line) => {
      const slower = paces.map((times) => new LineCosts(slowed(line, times), defaultWeights));
      const [costs] = slower as [LineCosts];
      const climbs = (weigh: (at: LineCosts) => number) => expectClimbing(slower.map(weigh));
      for (let first = 0; first < line.events.length; first++) {
        for (const a of choicesFrom(costs, first)) {
          climbs((at) => total(untimed((charge) => at.placing(a, charge))));
          if (a.last + 1 >= line.events.length) continue;
          for (const b of choicesFrom(costs, a.last + 1)) {
            climbs((at) => -total((charge) => at.separate(a, b, charge)));
            if (costs.crosses(a, b)) climbs((at) => total(untimed((charge) => at.cross(a, b, charge))));
          }
        }
      }
    });
  });

  test("a turn is shared up to about one second, then the hand comes off", () => {
    const joints = [0.3, 0.6, 0.9, 1.0, 1.1, 1.2, 2].map((top): Joint => {
      const events = [0, 0.3, 0.3 + top].map((at, i) => ({
        strings: [[28, 30, 29][i]!],
        atMicros: at * 1e6,
      }));
      return optimum({ hand: "right", events }).placings[1]!.joint;
    });
    expect(joints).toEqual(["overlap", "overlap", "overlap", "overlap", "separate", "separate", "separate"]);
  });
});

describe("the work grows with the line, no faster", () => {
  test("ten times the events take at most ten times and a half the look-ups", () => {
    const bars = randomLine(new Dice(5), { events: 1_000, chords: 0.2 });
    const once = countLookUps(bars);
    expect(countLookUps(again(bars, 10)) / once).toBeLessThan(10.5);
  });

  test("ten times the events take about ten times as long", () => {
    const bars = randomLine(new Dice(5), { events: 1_000, chords: 0.2 });
    const piece = again(bars, 10);
    const ratio = leastRatio(
      () => leastTime(piece, 3),
      () => leastTime(bars, 5),
      mostForTenfold,
    );
    expect(ratio).toBeLessThan(mostForTenfold);
  });

  test.each([
    ["one string", [28]],
    ["a third to and fro", [28, 30]],
    ["an octave to and fro", [28, 35]],
    ["a broken triad", [28, 32, 30, 32]],
    ["three steps round", [28, 29, 30]],
    ["a turn", [29, 28, 29, 30]],
  ])("an ostinato of 10,000 notes on %s does not blow up, fast or slow", (_, figure) => {
    for (const gapMicros of [100_000, 300_000]) {
      const played = (count: number): FingeringLine => ({
        hand: "right",
        events: Array.from({ length: count }, (_, i) => ({
          strings: [figure[i % figure.length]!],
          atMicros: i * gapMicros,
        })),
      });
      const [short, long] = [played(1_000), played(10_000)];
      // What could take long is choosing between tails of the line that cost the same, not their number of notes.
      const ratio = leastRatio(
        () => leastTime(long, 2),
        () => leastTime(short, 5),
        mostForTenfold,
      );
      expect(ratio).toBeLessThan(mostForTenfold);
    }
  });
});

function expectSame(line: FingeringLine, model: FingeringLine): void {
  const [found, wanted] = [optimum(line), optimum(model)];
  expect(found.totalMilli).toBe(wanted.totalMilli);
  expect(spell(found.placings)).toBe(spell(wanted.placings));
}

/** The fingering of a line of `events` events as it is for the line backwards. */
function reversed(placings: readonly BarePlacing[], events: number): BarePlacing[] {
  return placings
    .map(({ first, last, fingers }, i) => ({
      first: events - 1 - last,
      last: events - 1 - first,
      // A joint is kept with the later of its two placings: backwards that is the earlier one.
      joint: placings[i + 1]?.joint ?? "start",
      fingers: fingers.toReversed(),
    }))
    .reverse();
}

function withRandomFinger(line: FingeringLine, dice: Dice): FingeringLine {
  const event = dice.whole(0, line.events.length - 1);
  const stringAt = dice.whole(0, line.events[event]!.strings.length - 1);
  // What is decided stays decided: another finger in its place would be a change, not an addition.
  if (line.locks?.fingers[event]?.[stringAt]) return line;
  return withLock(line, event, stringAt, dice.whole(1, 4) as Finger);
}

function withRandomPlacing(line: FingeringLine, dice: Dice): FingeringLine {
  const first = dice.whole(0, line.events.length - 1);
  const last = Math.min(line.events.length - 1, first + dice.whole(0, 4));
  const decided = line.locks?.placings.map((range) => [range.first, range.last] as const) ?? [];
  const ranges = [...decided, [first, last] as const].sort((a, b) => a[0] - b[0]);
  return withPlacings(line, ...ranges);
}

type Weigh = Parameters<typeof total>[0];

/** Without what is too fast to play at all: more time cures that, whatever the joint. */
function untimed(weigh: Weigh): Weigh {
  return (charge) => weigh((name, milli) => name !== "tooFast" && charge(name, milli));
}

function expectClimbing(costs: readonly number[]): void {
  const falls = costs.some((cost, i) => i > 0 && cost < costs[i - 1]!);
  if (falls) expect(costs).toEqual(costs.toSorted((a, b) => a - b));
}

/** The same music several times over. */
function again({ hand, events }: FingeringLine, times: number): FingeringLine {
  const lengthMicros = events.at(-1)!.atMicros + 300_000;
  return {
    hand,
    events: Array.from({ length: times }, (_, k) =>
      events.map((event) => ({ ...event, atMicros: event.atMicros + k * lengthMicros })),
    ).flat(),
  };
}

/** How often the table of costs is asked: work that no clock and no busy machine can blur. */
function countLookUps(line: FingeringLine): number {
  let count = 0;
  const counted: Weights = new Proxy(defaultWeights, {
    get(table, key, receiver) {
      count += 1;
      return Reflect.get(table, key, receiver);
    },
  });
  solve(line, counted);
  return count;
}

/** Ten times the music takes ten times the time and, on a busy machine, some more; quadratic growth would give 100. */
const mostForTenfold = 40;

/** One time against another. Caches and collectors make times differ, so what is not below is tried again. */
function leastRatio(time: () => number, base: () => number, below: number): number {
  let ratio = Number.POSITIVE_INFINITY;
  for (let tries = 0; tries < 5 && ratio >= below; tries++) ratio = Math.min(ratio, time() / base());
  return ratio;
}

/** The processor time of one search in microseconds: what else the machine does counts for little. */
function leastTime(line: FingeringLine, tries: number): number {
  let least = Number.POSITIVE_INFINITY;
  for (let i = 0; i < tries; i++) {
    const before = process.cpuUsage();
    solve(line, defaultWeights);
    least = Math.min(least, process.cpuUsage(before).user);
  }
  return least;
}
