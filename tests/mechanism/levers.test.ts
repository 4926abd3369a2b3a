import { readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { solveBoth } from "../../shared/fingering/jumps.ts";
import type { FingeringLine } from "../../shared/fingering/model.ts";
import { solveTogether } from "../../shared/fingering/solveTogether.ts";
import { defaultWeights } from "../../shared/fingering/weights.ts";
import { searchLine } from "../../shared/fingering/written.ts";
import { harpPreset } from "../../shared/harp/instruments.ts";
import { openTuning, openTunings } from "../../shared/harp/tunings.ts";
import type { LeverNeed } from "../../shared/mechanism/leverNeeds.ts";
import { planLevers, usualLeverTimes } from "../../shared/mechanism/leverPlan.ts";
import { leversOf } from "../../shared/mechanism/mechanismOf.ts";
import type { PlayedEvent, PlayedNote } from "../../shared/mechanism/playedNotes.ts";
import { stringName } from "../../shared/score/pitch.ts";
import { Timeline } from "../../shared/score/timeline.ts";
import { type Analysis, analyse, type Settings } from "../../shared/service/analyse.ts";
import { fingerScore } from "../../shared/service/fingerScore.ts";
import { projectFolder } from "../support/built.ts";
import { Dice, randomLine } from "../support/randomLines.ts";
import { tinyScore } from "../support/tinyScore.ts";

const tuned = (tuning: string): Settings => ({
  instrument: { harp: harpPreset("lever-34")!, open: openTuning(tuning)! },
});

function read(music: string, tuning = "C"): Analysis {
  return analyse(tinyScore(music).text, tuned(tuning));
}

/** Each change as its string, where it goes, and the bar of the note that needs it. */
function changesOf({ levers }: Analysis): string[] {
  return levers!.changes.map(({ need: { string, from, to, next } }) => {
    const way = to > from ? "up" : "down";
    return `${stringName(string)} ${way}, bar ${next.entry.note.measure.number}`;
  });
}

/** Facts of the instrument: each string has its open pitch and a semitone more (reesharps.com). */
describe("what the levers have to do", () => {
  test("nothing, where levers can be set before the piece", () => {
    expect(changesOf(read("F#4 G4 F#4 C5"))).toEqual([]);
    expect([...read("F#4 G4 F#4 C5").levers!.start]).toEqual([
      [31, 1],
      [32, 0],
      [35, 0],
    ]);
  });

  test("each string has a lever of its own: the same letter in another octave is another one", () => {
    expect(changesOf(read("F4 G4 F#5 G5 | F4"))).toEqual([]);
    expect(changesOf(read("F4/4 | G4/4 | F#4/4 | G4/4 | F4/4"))).toEqual(["F4 up, bar 3", "F4 down, bar 5"]);
  });

  test("a note that its own string cannot sound is played on its neighbour", () => {
    const { levers } = read("Db4/4 | C4/4", "Eb");
    expect(levers!.start.get(28)).toBe(1);
    expect(changesOf(read("Db4/4 | C4/4", "Eb"))).toEqual(["C4 down, bar 2"]);
    expect(levers!.unplayable).toEqual([]);
  });

  test("a note that no string can sound is named", () => {
    const few: Settings = {
      instrument: { harp: harpPreset("lever-34")!, open: openTuning("C")!, levers: ["F", "C"] },
    };
    expect(analyse(tinyScore("Eb4 C4").text, few).levers!.unplayable).toHaveLength(1);
  });

  test("pedal harps and harps of unknown tuning have no plan", () => {
    const { text } = tinyScore("F4 F#4");
    expect(analyse(text, { instrument: { harp: harpPreset("pedal-47")! } }).levers).toBeUndefined();
    expect(analyse(text, { instrument: { harp: harpPreset("lever-34")! } }).levers).toBeUndefined();
    expect(analyse(text).levers).toBeUndefined();
  });

  test("through repeats: what was set for the end is set back for the beginning", () => {
    const bars = tinyScore("F4/4 | F#4/4").text;
    const repeated = bars.replace(
      /<\/measure>(?=\s*<\/part>)/,
      `<barline location="right"><repeat direction="backward"/></barline></measure>`,
    );
    expect(changesOf(analyse(repeated, tuned("C")))).toEqual([
      "F4 up, bar 2",
      "F4 down, bar 1",
      "F4 up, bar 2",
    ]);
  });
});

describe("when the left hand moves them", () => {
  /** The left hand's placings, fingered anew, as first and last events. */
  function placings(music: string, settings: Settings = tuned("C")): number[][] {
    const analysis = analyse(tinyScore(music).text, settings);
    const left = fingerScore(analysis, { mode: "fresh" }).hands.find(
      ({ written }) => written.hand === "left",
    )!;
    return left.solution.placings.map(({ first, last }) => [first, last]);
  }

  const running = "R: @60 F4/2 A4/2 F#4/2 A4/2 // L: C3 E3 G3 C4 B3 G3 E3 C3 D3 E3 F3 G3 A3 B3 C4 D4";

  test("no placing reaches over: fingering with the change differs from fingering without", () => {
    const slow = "R: @60 F4/2 A4/2 F#4/2 A4/2 // L: C3/1 E3/1 G3/1 C4/1 E3/1 G3/1 C4/1 E4/1";
    const { levers } = read(slow);
    const [change] = levers!.changes;
    expect(change!.before).toBeGreaterThanOrEqual(1);
    const cut = change!.before!;
    expect(placings(slow).some(([first, last]) => first! < cut && last! >= cut)).toBe(false);
    expect(placings(slow)).not.toEqual(placings(slow, {}));
  });

  test("in a hand that never rests there is no moment", () => {
    expect(read(running).levers!.changes).toMatchObject([{ atMicros: undefined }]);
  });

  test("where only the right hand has time, that is told and not planned", () => {
    const busyLeft = "L: C3 E3 G3 C4 B3 G3 E3 C3";
    const changeIn = (right: string) => read(`R: @60 ${right} // ${busyLeft}`).levers!.changes[0]!;
    expect(changeIn("F4/2 F#4/2")).toMatchObject({ atMicros: undefined, rightIsFree: true });
    // 0.7 s in all: 0.4 s to the lever and 0.3 s back, estimates.
    expect(changeIn("F4/0.75 F#4/0.75").rightIsFree).toBe(true);
    expect(changeIn("F4/0.5 A4/0.5 F#4/1").rightIsFree).toBeUndefined();
    expect(read("R: @60 r/4 // L: F3 E3 G3 F#3 B3 G3 E3 C3").levers!.changes[0]!.rightIsFree).toBe(true);
  });

  test("a rest is the moment, though the string is needed only later", () => {
    const music = "R: @60 F4/2 A4/2 | A4/2 F#4/2 // L: C3 E3 G3 C4 r/2 | C3 E3 G3 C4 C3 E3 G3 C4";
    const [change] = read(music).levers!.changes;
    expect(change!.before).toBe(4);
    expect(change!.atMicros! / 1e6).toBeGreaterThan(1.5);
    expect(change!.atMicros! / 1e6).toBeLessThan(4);
    expect(change!.rings).toBe(false);
  });

  test("two levers on one way take longer than one", () => {
    const both = "R: @60 F4+C5/1 A4/3 | F#4+C#5/4 // L: C3 E3 r/RR G3 C4 B3 G3 E3 C3 D3 E3 F3 G3 A3 B3 C4";
    const moments = (rest: number): (number | undefined)[] =>
      read(both.replace("RR", String(rest))).levers!.changes.map(({ atMicros }) => atMicros);
    expect(moments(0.5).filter((at) => at === undefined)).toHaveLength(1);
    expect(moments(2).filter((at) => at === undefined)).toHaveLength(0);
  });

  test("of several in one rest each waits until its string has faded, where there is time to", () => {
    const music = "R: @60 A4/1 Ab4/1 E4/2 | A4/4 // L: C3/1 r/3 | C3/4";
    const { changes } = read(music, "Eb").levers!;
    expect(changes.map(({ atMicros, rings }) => [atMicros, rings])).toEqual([
      [1_000_000, false],
      [2_000_000, false],
    ]);
  });
});

describe("the moment costs the fingering of both hands as little as can be", () => {
  /** Notes of a string that no line plucks: only when they sound matters. */
  function needBetween(fromMicros: number, toMicros: number): LeverNeed {
    const at = (atMicros: number): PlayedNote =>
      ({ hand: "right", event: 0, atMicros, stringAt: 0, untilMicros: atMicros }) as unknown as PlayedNote;
    return { string: 60, from: 0, to: 1, last: at(fromMicros), next: at(toMicros) };
  }

  function flagged(line: FingeringLine, free: readonly number[]): FingeringLine {
    return {
      ...line,
      events: line.events.map((e, i) => (free.includes(i) ? { ...e, handFreeBefore: true } : e)),
    };
  }

  test("one or two changes: trying every moment agrees on 200 random pairs of lines", () => {
    let moved = 0;
    for (let seed = 0; seed < 200; seed += 1) {
      const dice = new Dice(60_000 + seed);
      const slow = (hand: "right" | "left"): FingeringLine => {
        const line = randomLine(dice, { events: dice.whole(4, 7), hand, lowest: 14 });
        let now = 0;
        const events = line.events.map((event) => {
          now += dice.oneOf([300_000, 500_000, 750_000, 900_000]);
          return { ...event, atMicros: now };
        });
        return { hand, events };
      };
      const [right, left] = [slow("right"), slow("left")];
      const end = left.events.at(-1)!.atMicros;
      const needs = Array.from({ length: dice.whole(1, 2) }, () => {
        const from = dice.whole(0, end - 1);
        return needBetween(from, dice.whole(from + 1, end));
      }).sort((a, b) => a.next.atMicros - b.next.atMicros);
      const played: PlayedEvent[] = left.events.map(({ atMicros }, event) => ({
        hand: "left",
        event,
        atMicros,
      }));
      const planned = planLevers(needs, played, { right, left }, defaultWeights);
      const free = planned.flatMap(({ before }) => (before ? [before] : []));
      const cost = (of: readonly number[]): number =>
        solveTogether(right, flagged(left, of), defaultWeights).totalMilli;
      const best = bestOfAll(needs, left, cost);
      expect(planned.filter(({ atMicros }) => atMicros === undefined).length, `seed ${seed}`).toBe(
        best.without,
      );
      expect(cost(free), `seed ${seed}`).toBe(best.milli);
      if (best.milli > cost([])) moved += 1;
      for (const { need, atMicros } of planned) {
        if (atMicros === undefined) continue;
        expect(atMicros).toBeGreaterThanOrEqual(need.last.atMicros);
        expect(atMicros).toBeLessThanOrEqual(need.next.atMicros);
      }
    }
    expect(moved).toBeGreaterThan(10);
  });

  /** Every choice of a slot for every change, with the times checked by trying each order of the changes in a slot. */
  function bestOfAll(
    needs: readonly LeverNeed[],
    { events }: FingeringLine,
    cost: (free: readonly number[]) => number,
  ): { without: number; milli: number } {
    const { reachMicros, backMicros, nextMicros } = usualLeverTimes;
    const works = (slot: number, order: readonly LeverNeed[]): boolean => {
      let now = slot === 0 ? -Infinity : events[slot - 1]!.atMicros + reachMicros;
      const end = slot === events.length ? Infinity : events[slot]!.atMicros - backMicros;
      return order.every((need) => {
        now = Math.max(now, need.last.atMicros);
        const inTime = now <= Math.min(end, need.next.atMicros);
        now += nextMicros;
        return inTime;
      });
    };
    let best = { without: Infinity, milli: Infinity };
    const slots = [...Array.from({ length: events.length + 1 }, (_, i) => i), undefined];
    for (const a of slots) {
      for (const b of needs.length > 1 ? slots : [undefined]) {
        const chosen = needs.length > 1 ? [a, b] : [a];
        const fits = [...new Set(chosen)].every((slot) => {
          if (slot === undefined) return true;
          const here = needs.filter((_, i) => chosen[i] === slot);
          return works(slot, here) || works(slot, here.toReversed());
        });
        if (!fits) continue;
        const without = chosen.filter((slot) => slot === undefined).length;
        const milli = cost(
          chosen.filter((slot) => slot !== undefined && slot > 0 && slot < events.length) as number[],
        );
        if (without < best.without || (without === best.without && milli < best.milli))
          best = { without, milli };
      }
    }
    return best;
  }
});

test("every tuning is named once", () => {
  expect(new Set(openTunings.map(({ name }) => name)).size).toBe(openTunings.length);
});

/** Processor time, as other work on the machine must not count; the least of several runs, by turns. */
function leastMicros(works: readonly (() => unknown)[]): number[] {
  const least = works.map(() => Number.POSITIVE_INFINITY);
  for (let round = 0; round < 7; round += 1) {
    works.forEach((work, i) => {
      const before = process.cpuUsage();
      work();
      const { user, system } = process.cpuUsage(before);
      least[i] = Math.min(least[i]!, user + system);
    });
  }
  return least;
}

test("planning takes no longer than fingering both hands does; half as long is meant", () => {
  const text = readFileSync(join(projectFolder, "fixtures", "levers", "quarry-pool.musicxml"), "utf8");
  const { score, hands, instrument, weights } = analyse(text, tuned("Eb"));
  const timeline = new Timeline(score);
  const line = (name: "right" | "left") => searchLine(hands.find(({ hand }) => hand === name)!.line);
  const both = { right: line("right"), left: line("left") };
  const [planning, fingering] = leastMicros([
    () => leversOf(score, hands, timeline, instrument, weights),
    () => solveBoth(both, weights),
  ]);
  expect(planning).toBeLessThan(fingering!);
});
