import { expect, test } from "vitest";
import { analyse } from "../../shared/service/analyse.ts";
import { fingerScore } from "../../shared/service/fingerScore.ts";
import { attributes, backup, direction, note, scoreText } from "../support/scoreText.ts";

/** What stands between two notes of the right hand, and on the second of them. */
interface Between {
  readonly before?: string;
  readonly on?: string;
  readonly after?: string;
}

/** Right hand C4 D4 E4 F4 in quarters, left hand C3 D3 E3 F3; something special about or on the third note. */
function music({ before = "", on = "", after = "" }: Between): string {
  const right = (["C4", "D4", "E4", "F4"] as const).map((pitch, i) =>
    note(pitch, { staff: 1, duration: 1, notations: i === 2 ? on : i === 3 ? after : "" }),
  );
  const left = ["C3", "D3", "E3", "F3"].map((pitch) => note(pitch, { staff: 2, voice: "5", duration: 1 }));
  return scoreText({
    measures: [
      attributes({ divisions: 1, staves: 2, clefs: ["G", "F"] }) +
        `<direction><sound tempo="120"/></direction>` +
        right.slice(0, 2).join("") +
        before +
        right.slice(2).join("") +
        backup(4) +
        left.join(""),
    ],
  });
}

/** The placings of both hands as their first and last events. */
function placingsOf(between: Between): Record<string, number[][]> {
  const analysis = analyse(music(between), { part: "P1" });
  expect(analysis.problems).toEqual([]);
  const { hands } = fingerScore(analysis, { mode: "fresh" });
  return Object.fromEntries(
    hands.map(({ written, solution }) => [
      written.hand,
      solution.placings.map(({ first, last }) => [first, last]),
    ]),
  );
}

const whole = [[0, 3]];

test("nothing in the way: one placing a hand", () => {
  expect(placingsOf({})).toEqual({ right: whole, left: whole });
});

/** Common practice, no source: such a note is a placing of its own. Signs: MusicXML 4.0, note.mod. */
test.each([
  ["a harmonic", "<technical><harmonic><natural/></harmonic></technical>"],
  ["a trill", "<ornaments><trill-mark/></ornaments>"],
  ["a tremolo on one note", "<ornaments><tremolo>3</tremolo></ornaments>"],
])("%s stands alone", (_, on) => {
  expect(placingsOf({ on })).toEqual({
    right: [
      [0, 1],
      [2, 2],
      [3, 3],
    ],
    left: whole,
  });
});

test("two notes by turns are a placing of their own", () => {
  const ornament = (type: string): string => `<ornaments><tremolo type="${type}">2</tremolo></ornaments>`;
  expect(placingsOf({ on: ornament("start"), after: ornament("stop") })).toEqual({
    right: [
      [0, 1],
      [2, 3],
    ],
    left: whole,
  });
});

/** Common practice, no source: muffling is an act of the hand. Signs: MusicXML 4.0, direction.mod. */
test.each([
  [
    "one hand muffles",
    "<damp/>",
    {
      right: [
        [0, 2],
        [3, 3],
      ],
      left: whole,
    },
  ],
  [
    "both hands muffle",
    "<damp-all/>",
    {
      right: [
        [0, 2],
        [3, 3],
      ],
      left: [
        [0, 2],
        [3, 3],
      ],
    },
  ],
])("%s and comes off for it", (_, sign, expected) => {
  expect(placingsOf({ before: direction(sign, { staff: 1 }) })).toEqual(expected);
});
