import { expect, test } from "vitest";
import { Ranges } from "../../shared/text/ranges.ts";
import { Dice } from "../support/randomLines.ts";

test("the ranges near a place are those that looking at all of them finds, in the order of the list", () => {
  const dice = new Dice(5);
  for (let round = 0; round < 300; round += 1) {
    const all = Array.from({ length: dice.whole(0, 40) }, () => {
      const first = dice.whole(0, 60);
      return { first, last: first + dice.whole(0, dice.chance(0.1) ? 50 : 5) };
    });
    if (dice.chance(0.5)) all.sort((a, b) => a.first - b.first);
    const ranges = new Ranges(all);
    const from = dice.whole(-2, 65);
    const to = from + dice.whole(0, 10);
    expect(ranges.touching(from, to)).toEqual(all.filter(({ first, last }) => first <= to && last >= from));
  }
});
