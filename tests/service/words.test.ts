import { describe, expect, test } from "vitest";
import type { TermName } from "../../shared/fingering/model.ts";
import { analyse } from "../../shared/service/analyse.ts";
import { barList, placeName, placeOf } from "../../shared/service/places.ts";
import { changeWords, counted, termWords, timesText, unitsText } from "../../shared/service/words.ts";
import { tinyScore } from "../support/tinyScore.ts";

const names = Object.keys(termWords) as TermName[];

describe("terms in words", () => {
  test.each(names)("%s is told without its name in the code, each way", (name) => {
    const more = changeWords({ name, more: true, count: 1, at: " at bar 7" });
    const less = changeWords({ name, more: false, count: 1, at: " at bar 7" });
    expect(more).not.toBe(less);
    for (const words of [termWords[name], more, less]) {
      expect(words).toMatch(/^[a-z0-9][a-z0-9 ,']+$/);
      expect(words).not.toMatch(/[a-z][A-Z]/);
    }
  });

  test("how often is said for what can be counted", () => {
    expect(changeWords({ name: "cross", more: false, count: 1, at: "" })).toBe("crosses once less");
    expect(changeWords({ name: "separate", more: true, count: 2, at: "" })).toBe("comes off twice more");
    expect(changeWords({ name: "separate", more: true, count: 0, at: "" })).toBe(
      "comes off where there is less time",
    );
    expect(changeWords({ name: "turn", more: true, count: 1, at: " at bar 7" })).toBe(
      "the thumb misses the turn at bar 7",
    );
  });
});

test("thousandths are read as units with two decimals at most", () => {
  expect([0, 50, 500, 1250, 12000, 2126, -300].map(unitsText)).toEqual([
    "0",
    "0.05",
    "0.5",
    "1.25",
    "12",
    "2.13",
    "-0.3",
  ]);
});

test("numbers go with their nouns", () => {
  expect([1, 2, 3].map(timesText)).toEqual(["once", "twice", "3 times"]);
  expect([counted(1, "note"), counted(2, "note"), counted(0, "file")]).toEqual([
    "1 note",
    "2 notes",
    "0 files",
  ]);
});

test("places are bars and beats as people count them", () => {
  const hand = analyse(tinyScore("C4/1 D4/1 E4/1 F4/1 | G4/2 A4/2 | B4/4 | C5/4 | D5/4 | E5/4").text)
    .hands[0]!;
  expect(placeOf(hand, 1)).toEqual({ bar: "1", beat: "2" });
  expect(placeName(hand, 5)).toBe("bar 2, beat 3");
  expect(barList(hand, [0, 1, 3])).toBe("bar 1");
  expect(barList(hand, [0, 4])).toBe("bars 1 and 2");
  expect(barList(hand, [0, 4, 6])).toBe("bars 1, 2 and 3");
  expect(barList(hand, [0, 4, 6, 7, 8])).toBe("5 bars from bar 1 on");
});
