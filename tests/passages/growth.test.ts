import { describe, expect, test } from "vitest";
import { findPassages } from "../../shared/passages/findPassages.ts";
import { readScore } from "../../shared/score/readScore.ts";
import { Dice } from "../support/randomLines.ts";
import { type Music, musicOf } from "./eighths.ts";
import { listing, passagesOf } from "./listing.ts";
import { plantedScore } from "./plantedScore.ts";

/** Music in which very much comes back, by its number of events. */
const kinds: Record<string, (events: number) => number[]> = {
  "an ostinato": (events) => Array.from({ length: events }, (_, i) => 28 + [0, 2, 4, 7, 4, 2, 5, 3][i % 8]!),
  "a sequence": (events) =>
    Array.from({ length: events }, (_, i) => 28 + [0, 2, 4, 7, 4, 2, 5, 3][i % 8]! + (Math.floor(i / 8) % 7)),
  "one note": (events) => Array.from({ length: events }, () => 30),
  "scales up and down": (events) =>
    Array.from({ length: events }, (_, i) => 21 + (i % 28 < 14 ? i % 28 : 28 - (i % 28))),
  "a figure within figures": (events) => {
    let [short, long] = [[30], [30, 34]];
    while (long.length < events) [short, long] = [long, [...long, ...short]];
    return long.slice(0, events);
  },
  "eight bars over and over, each time a little otherwise": (events) => {
    const dice = new Dice(3);
    const theme = Array.from({ length: 64 }, () => dice.whole(21, 42));
    return Array.from({ length: events }, (_, i) =>
      dice.chance(0.05) ? dice.whole(21, 42) : theme[i % 64]!,
    );
  },
};

/** The least time of five runs, in microseconds of the processor's own time. */
function microsFor({ lines, score }: Music): number {
  const runs = Array.from({ length: 5 }, () => {
    const before = process.cpuUsage();
    findPassages(lines, score);
    return process.cpuUsage(before).user;
  });
  return Math.min(...runs);
}

describe("sixteen times the music takes about sixteen times the time", () => {
  test.each(Object.entries(kinds))("%s", (name, make) => {
    const [small, large] = [musicOf(make(1500)), musicOf(make(24_000))];
    microsFor(small);
    const ratio = microsFor(large) / microsFor(small);
    // Sorting adds a little, and a busy machine or the collector of unused memory more; quadratic growth would give 256.
    expect(ratio, name).toBeLessThan(90);
  });
});

test("an ostinato of 10,000 events is one figure", () => {
  const { lines, score } = musicOf(kinds["an ostinato"]!(10_000));
  const { classes, messages } = findPassages(lines, score);
  expect(classes).toHaveLength(1);
  expect(classes[0]).toMatchObject({ kind: "exact", inARow: 1250 });
  expect(messages).toHaveLength(1);
});

test("in a score of forty parts only the harp's part counts", () => {
  const { text } = plantedScore(3);
  const alone = listing(passagesOf(text));
  const [listed] = /<score-part [\s\S]*?<\/score-part>/.exec(text)!;
  const [part] = /<part [\s\S]*<\/part>/.exec(text)!;
  const id = /<part id="([^"]*)"/.exec(part!)![1]!;
  const others = Array.from({ length: 39 }, (_, i) => `O${i + 1}`);
  const renamed = (xml: string, to: string): string =>
    xml.replaceAll(`"${id}"`, `"${to}"`).replaceAll(`"${id}-`, `"${to}-`);
  const orchestra = text
    .replace(
      listed,
      `${others
        .map((to) =>
          renamed(listed, to)
            .replace(/<part-name>[^<]*/, "<part-name>Violin")
            .replace(
              /<score-instrument[\s\S]*?<\/score-instrument>|<midi-instrument[\s\S]*?<\/midi-instrument>/g,
              "",
            ),
        )
        .join("")}${listed}`,
    )
    .replace(part!, `${others.map((to) => renamed(part!, to)).join("")}${part}`);
  const result = passagesOf(orchestra);
  expect(readScore(orchestra).score.parts).toHaveLength(40);
  expect(listing(result)).toEqual(alone);
});
