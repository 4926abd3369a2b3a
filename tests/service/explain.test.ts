import { describe, expect, test } from "vitest";
import type { Finger, Solution, TermName } from "../../shared/fingering/model.ts";
import { solve } from "../../shared/fingering/solve.ts";
import { defaultWeights } from "../../shared/fingering/weights.ts";
import { keepAll, searchLine, type WrittenHand } from "../../shared/fingering/written.ts";
import { analyse } from "../../shared/service/analyse.ts";
import {
  closestChoice,
  compareSolutions,
  equallyGoodBelowMilli,
  explainPlacing,
  placingLines,
  weighChoice,
} from "../../shared/service/explain.ts";
import { termWords } from "../../shared/service/words.ts";
import { Dice } from "../support/randomLines.ts";
import { tinyScore } from "../support/tinyScore.ts";

function handOf(notation: string): WrittenHand {
  return analyse(tinyScore(notation).text).hands[0]!;
}

/** The best fingering with these fingers, one an event; 0 leaves the choice free. */
function solved(hand: WrittenHand, digits: readonly number[] = []): Solution {
  const line = searchLine(hand.line);
  const fingers = line.events.map((_, i) => [digits[i] ? (digits[i] as Finger) : undefined]);
  return solve({ ...line, locks: { fingers, placings: [] } }, defaultWeights);
}

const digitsOf = (solution: Solution): number[] => solution.fingers.map((row) => row[0]!);

const termNames = Object.keys(termWords) as TermName[];

describe("one placing in words", () => {
  const hand = handOf("C4 D4 E4 F4 G4 A4 B4 C5");
  const solution = solved(hand);

  test("says where, with which fingers, how it follows and what it costs", () => {
    // Eight notes up are two groups of four with one crossing: common practice, no source.
    expect(placingLines(explainPlacing(hand, solution, 1))).toEqual([
      "bar 1, beat 3:  G4 4, A4 3, B4 2, C5 1  (rising, crosses: 4 goes under the thumb; cost 1.9)",
      "      1.2  crosses: 4 goes under the thumb",
      "      0.5  one more placing to prepare",
      "      0.2  4 is the weak finger",
    ]);
  });

  test("falling, the thumb goes over", () => {
    const down = handOf("C5 B4 A4 G4 F4 E4 D4 C4");
    expect(explainPlacing(down, solved(down), 1).jointText).toBe("crosses: the thumb goes over 4");
  });

  test("a chord's notes are joined, each event's are set apart", () => {
    const waltz = handOf("L: C3/1 E3+G3/1 E3+G3/1");
    const [line] = placingLines(explainPlacing(waltz, solved(waltz), 0));
    expect(line).toContain("C3 3, E3 2 + G3 1");
  });

  test("terms add up to the solution's total", () => {
    const sum = solution.placings.reduce(
      (all, _, i) => all + explainPlacing(hand, solution, i).totalMilli,
      0,
    );
    expect(sum).toBe(solution.totalMilli);
  });
});

describe("two fingerings compared", () => {
  test("a fingering compared with itself costs the same", () => {
    const hand = handOf("C4 D4 E4 F4 G4");
    const comparison = compareSolutions(hand, solved(hand), solved(hand));
    expect(comparison).toEqual({ differenceMilli: 0, equallyGood: true, terms: [], words: "costs the same" });
  });

  test("crossing with 4 is told with what could go under instead", () => {
    const hand = handOf("C4 D4 E4 F4 G4");
    const usual = solved(hand, [2, 1, 3, 2, 1]);
    const thumbFirst = solved(hand, [1, 4, 3, 2, 1]);
    const comparison = compareSolutions(hand, usual, thumbFirst);
    expect(comparison.words).toContain("4 goes under where 3 could");
    expect(comparison.words).toContain("gives a lone note a less usual finger");
    expect(comparison.differenceMilli).toBe(thumbFirst.totalMilli - usual.totalMilli);
  });

  test("one crossing less is a gain, 4 in it is the price", () => {
    const hand = handOf("C4 D4 E4 F4 G4 A4 B4 C5");
    const threes = solved(hand, [2, 1, 3, 2, 1, 3, 2, 1]);
    const fours = solved(hand, [4, 3, 2, 1, 4, 3, 2, 1]);
    const { words } = compareSolutions(hand, threes, fours);
    expect(words).toMatch(
      /^costs 0\.9 less: crosses once less, needs 1 placing fewer, but 4 goes under where 3 could$/,
    );
  });

  test("the bar is named where the thumb misses a top note", () => {
    const hand = handOf("C4/1 E4/1 G4/2 | C4/1 E4/1 G4/2");
    const best = solved(hand, [3, 2, 1, 3, 2, 1]);
    const noThumb = solved(hand, [3, 2, 1, 4, 3, 2]);
    expect(compareSolutions(hand, best, noThumb).words).toContain("the thumb misses a top note at bar 2");
    expect(compareSolutions(hand, noThumb, best).words).toContain("the thumb takes the top note at bar 2");
  });

  test("under 0.3 both are called equally good, from 0.3 on not", () => {
    const hand = handOf("C4 D4 E4 F4 G4");
    const best = solved(hand);
    const dearer = (by: number): Solution => ({ ...best, totalMilli: best.totalMilli + by });
    expect(compareSolutions(hand, best, dearer(299)).equallyGood).toBe(true);
    expect(compareSolutions(hand, dearer(299), best).equallyGood).toBe(true);
    expect(compareSolutions(hand, best, dearer(300)).equallyGood).toBe(false);
    expect(equallyGoodBelowMilli).toBe(300);
  });

  test("coming off instead of crossing is said in one breath", () => {
    const hand = handOf("C4 D4 E4 F4 G4 A4");
    const best = solved(hand);
    const noCrossing: Solution = {
      ...best,
      placings: best.placings.map((placing) =>
        placing.joint === "cross"
          ? { ...placing, joint: "separate", jointTerms: [{ name: "separate", milli: 2300 }] }
          : placing,
      ),
      totalMilli: best.totalMilli + 1300,
    };
    expect(compareSolutions(hand, best, noCrossing).words).toBe(
      "costs 1.3 more: comes off instead of crossing",
    );
  });

  test("terms of the difference add up to it, on random lines with random fingers", () => {
    const dice = new Dice(11);
    for (let round = 0; round < 60; round += 1) {
      const hand = handOf(randomNotation(dice, 9));
      const a = solved(hand);
      const b = solved(
        hand,
        a.fingers.map(() => dice.oneOf([0, 0, 1, 2, 3, 4])),
      );
      const { terms, differenceMilli } = compareSolutions(hand, a, b);
      expect(terms.reduce((sum, { milli }) => sum + milli, 0)).toBe(differenceMilli);
      for (const { name, milli } of terms) {
        expect(termNames).toContain(name);
        expect(milli).not.toBe(0);
      }
    }
  });
});

describe("one note's finger weighed", () => {
  test("the present finger comes first and costs nothing more in the best fingering", () => {
    const hand = handOf("C4 D4 E4 F4 G4");
    const weighed = weighChoice(hand, 2, 0, defaultWeights);
    expect(weighed.current).toBe(3);
    expect(weighed.choices[0]).toMatchObject({ finger: 3, moreMilli: 0 });
    expect(weighed.lines[0]).toBe("bar 1, beat 2, right hand, E4: finger 3");
    const costs = weighed.choices.slice(1).map(({ moreMilli }) => moreMilli);
    expect(costs).toEqual([...costs].sort((a, b) => a - b));
    expect(weighed.alternative).toBe(weighed.choices[1]);
    expect(weighed.alternative!.moreMilli).toBeGreaterThan(0);
  });

  test("a finger that the shape of a chord forbids is not offered", () => {
    const hand = handOf("C4+E4+G4+C5/2");
    for (const stringAt of [0, 1, 2, 3]) {
      expect(weighChoice(hand, 0, stringAt, defaultWeights).choices.map(({ finger }) => finger)).toEqual([
        4 - stringAt,
      ]);
    }
  });

  test("a printed finger that costs too much is weighed as it is: the better ones cost less", () => {
    const hand = handOf("C4:2 G4");
    const weighed = weighChoice(hand, 0, 0, defaultWeights, {
      solution: solved(hand, [2, 1]),
    });
    // Fifth: thumb and 3. Common practice, no source.
    expect(weighed.alternative?.finger).toBe(3);
    expect(weighed.alternative!.moreMilli).toBeLessThan(0);
    expect(weighed.lines.join("\n")).toMatch(/3 instead costs 0\.6 less: stretches less/);
  });

  test("what is printed around the note is kept when asked for", () => {
    const hand = handOf("C4:4 D4:3 E4 F4:1 G4:4 A4:3 B4:2 C5:1");
    const weighed = weighChoice(hand, 2, 0, defaultWeights, { keep: keepAll });
    expect(weighed.choices.map(({ finger }) => finger)[0]).toBe(2);
    for (const { finger, fingers, first } of weighed.choices) {
      if (finger !== 2) continue;
      expect(fingers.map((row) => row[0])).toEqual(
        [4, 3, 2, 1, 4, 3, 2, 1].slice(first, first + fingers.length),
      );
    }
  });

  test("differences are those of the whole line with all beyond the stretch left as it is", () => {
    const dice = new Dice(7);
    for (let round = 0; round < 25; round += 1) {
      const hand = handOf(randomNotation(dice, 40));
      const solution = solved(hand);
      const event = dice.whole(0, hand.line.events.length - 1);
      const weighed = weighChoice(hand, event, 0, defaultWeights, { solution });
      for (const { finger, fingers, first, moreMilli } of weighed.choices) {
        // All fingers of the line decided: those of the stretch as weighed, the others as they were.
        const digits = digitsOf(solution);
        fingers.forEach((row, i) => {
          digits[first + i] = row[0]!;
        });
        expect(digits[event]).toBe(finger);
        const whole = solved(hand, digits).totalMilli - solution.totalMilli;
        expect(whole).toBeLessThanOrEqual(moreMilli);
        if (finger === weighed.current) expect(moreMilli).toBe(0);
        else expect(moreMilli).toBeGreaterThanOrEqual(0);
        expect(whole).toBe(moreMilli);
      }
    }
  });

  test("the closest call of a placing is the cheapest change within it", () => {
    const hand = handOf("C4 D4 E4 F4 G4 A4");
    const solution = solved(hand);
    const closest = closestChoice(hand, solution, 0, defaultWeights, keepAll)!;
    const all = [0, 1, 2].map(
      (event) => weighChoice(hand, event, 0, defaultWeights, { solution }).alternative!.moreMilli,
    );
    expect(closest.alternative.moreMilli).toBe(Math.min(...all));
  });

  test("no call is offered on a printed finger that is kept", () => {
    const hand = handOf("C4:3 D4:2 E4:1");
    expect(closestChoice(hand, solved(hand, [3, 2, 1]), 0, defaultWeights, keepAll)).toBeUndefined();
  });
});

function randomNotation(dice: Dice, events: number): string {
  const letters = ["C", "D", "E", "F", "G", "A", "B"];
  let at = dice.whole(26, 34);
  const words: string[] = [];
  for (let i = 0; i < events; i += 1) {
    // A bar for each note, so that none is longer than its bar.
    words.push(
      `${letters[at % 7]}${Math.floor(at / 7)}/${dice.oneOf(["1/2", "1/2", "1/2", "1/4", "1", "2"])} |`,
    );
    at = Math.max(21, Math.min(42, at + dice.oneOf([1, 1, 1, 2, -1, -1, -1, -2, 3, -4])));
  }
  return words.join(" ");
}
