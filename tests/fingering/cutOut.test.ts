import { expect, test } from "vitest";
import { cutOut } from "../../shared/fingering/bothHands.ts";
import type { FingeringLine, Locks } from "../../shared/fingering/model.ts";
import { Dice, randomLine } from "../support/randomLines.ts";

/** Placings of all lengths in no order, as nobody promises one. */
function randomPlacings(dice: Dice, events: number): Locks["placings"] {
  return Array.from({ length: dice.whole(0, events) }, () => {
    const first = dice.whole(0, events - 1);
    return { first, last: Math.min(events - 1, first + dice.whole(0, 5)) };
  });
}

test("a part of a line has just the events of its time, and the placings that lie in it, in their order", () => {
  const dice = new Dice(4021);
  for (let round = 0; round < 300; round += 1) {
    const bare = randomLine(dice, { events: dice.whole(1, 40) });
    const count = bare.events.length;
    const locks: Locks = {
      fingers: bare.events.map(({ strings }) => strings.map(() => dice.oneOf([1, 2, 3, 4, undefined]))),
      placings: randomPlacings(dice, count),
      joined: bare.events.map(() => dice.oneOf([true, false, undefined])),
    };
    const line: FingeringLine = { ...bare, locks };
    for (let part = 0; part < 4; part += 1) {
      const [from, to] = [dice.whole(0, count - 1), dice.whole(0, count - 1)].map(
        (event) => line.events[event]!.atMicros + dice.whole(-1, 1),
      ) as [number, number];
      const inTime = line.events.flatMap(({ atMicros }, i) =>
        atMicros >= from && atMicros <= to ? [i] : [],
      );
      const cut = cutOut(line, from, to);
      if (inTime.length === 0) {
        expect(cut).toBeUndefined();
        continue;
      }
      const [first, last] = [inTime[0]!, inTime[inTime.length - 1]!];
      expect(cut!.offset).toBe(first);
      expect(cut!.line.events).toEqual(inTime.map((i) => line.events[i]));
      expect(cut!.line.locks!.fingers).toEqual(inTime.map((i) => locks.fingers[i]));
      expect(cut!.line.locks!.joined).toEqual(inTime.map((i) => locks.joined![i]));
      expect(cut!.line.locks!.placings).toEqual(
        locks.placings
          .filter((placing) => placing.first >= first && placing.last <= last)
          .map((placing) => ({ first: placing.first - first, last: placing.last - first })),
      );
    }
  }
});
