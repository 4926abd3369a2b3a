/** How long the searches take, as events a second and as ratios that hold on any machine. */
import { solveBoth } from "../../shared/fingering/jumps.ts";
import type { FingeringLine, HandName } from "../../shared/fingering/model.ts";
import { solve } from "../../shared/fingering/solve.ts";
import { defaultWeights } from "../../shared/fingering/weights.ts";
import { searchLine } from "../../shared/fingering/written.ts";
import { decodeScoreFile } from "../../shared/musicxml/scoreFile.ts";
import { analyse } from "../../shared/service/analyse.ts";
import { corpusFile, hasCorpus } from "../support/corpus.ts";
import { exhaust } from "../support/enumerate.ts";
import { Dice, randomLine } from "../support/randomLines.ts";

/** Harp parts of real scores, where the corpus is there. */
const realParts = [
  "hauptstimme/D_un_matin_de_printemps.mxl",
  "lieder/Abrams_Crazy_Jane_lc6583907.mxl",
  "mx/freezing.xml",
];

const rows: string[][] = [
  ["music", "one hand", "both hands", "together : apart", "gain over each hand by itself"],
];

for (const events of [100, 1_000, 10_000]) {
  rows.push(row(`${events.toLocaleString("en")} events`, music(events / 2)));
}
for (const path of hasCorpus ? realParts : []) {
  const { hands } = analyse(decodeScoreFile(corpusFile(path)).text);
  const [right, left] = (["right", "left"] as const).map((name) => hands.find(({ hand }) => hand === name));
  if (right && left) rows.push(row(path, { right: searchLine(right.line), left: searchLine(left.line) }));
}
const apart = median(() => solve(randomLine(new Dice(7), { events: 7, hand: "right" }), defaultWeights));
const everything = median(() => exhaust(randomLine(new Dice(7), { events: 7, hand: "right" })));
write(rows);
process.stdout.write(
  `\nSeven events, one hand: trying everything takes ${(everything / apart).toFixed(0)} times as long as the search.\n`,
);

function row(name: string, { right, left }: { right: FingeringLine; left: FingeringLine }): string[] {
  const events = right.events.length + left.events.length;
  const alone = median(() => [solve(right, defaultWeights), solve(left, defaultWeights)]);
  const together = median(() => solveBoth({ right, left }, defaultWeights));
  return [
    name,
    `${alone.toFixed(1)} ms, ${Math.round((events / alone) * 1000).toLocaleString("en")} events/s`,
    `${together.toFixed(1)} ms, ${Math.round((events / together) * 1000).toLocaleString("en")} events/s`,
    (together / alone).toFixed(1),
    gain(right, left),
  ];
}

/** What each hand's own best costs when both are played, less what the best of both together costs. */
function gain(right: FingeringLine, left: FingeringLine): string {
  const lock = (line: FingeringLine): FingeringLine => {
    const { fingers, placings } = solve(line, defaultWeights);
    return { ...line, locks: { fingers, placings: placings.filter(({ first, last }) => last > first) } };
  };
  const cost = (lines: { right: FingeringLine; left: FingeringLine }): number => {
    const found = solveBoth(lines, defaultWeights);
    return found.right!.totalMilli + found.left!.totalMilli;
  };
  const best = cost({ right, left });
  const own = cost({ right: lock(right), left: lock(left) });
  return `${((own - best) / 1000).toFixed(1)} of ${(own / 1000).toFixed(1)}`;
}

/** Two hands an octave and more apart, in runs, turns, leaps and chords. */
function music(events: number): { right: FingeringLine; left: FingeringLine } {
  const line = (hand: HandName, seed: number, shift: number): FingeringLine => {
    const found = randomLine(new Dice(seed), { events, hand, lowest: 21, chords: 0.2 });
    return {
      hand,
      events: found.events.map((event, i) => ({
        ...event,
        strings: event.strings.map((string) => string + shift),
        atMicros: i * (hand === "right" ? 250_000 : 400_000),
      })),
    };
  };
  return { right: line("right", 1, 7), left: line("left", 2, -21) };
}

/** Milliseconds, the middle of seven runs after one that does not count. */
function median(work: () => unknown): number {
  work();
  const times = Array.from({ length: 7 }, () => {
    const start = performance.now();
    work();
    return performance.now() - start;
  });
  return times.sort((a, b) => a - b)[3]!;
}

function write(table: readonly (readonly string[])[]): void {
  const widths = table[0]!.map((_, column) => Math.max(...table.map((cells) => cells[column]!.length)));
  for (const cells of table) {
    process.stdout.write(
      `${cells
        .map((cell, column) => cell.padEnd(widths[column]!))
        .join("  ")
        .trimEnd()}\n`,
    );
  }
}
