import { expect, test } from "vitest";
import { decodeScoreFile } from "../../shared/musicxml/scoreFile.ts";
import { playedOrder } from "../../shared/score/playedOrder.ts";
import { readScore } from "../../shared/score/readScore.ts";
import { corpusFile, hasCorpus } from "../support/corpus.ts";
import { direction, note, scoreText, words } from "../support/scoreText.ts";

/** What stands at a measure: `|:` and `:|` (with times `:|5`), `[1,2` and `]` for an ending, and what is said. */
type Measure = string;

function played(measures: readonly Measure[]): number[] {
  const order = playedOrder(readScore(scoreText({ measures: measures.map(measureText) })).score);
  expect(order.complete).toBe(true);
  return order.measures.map((index) => index + 1);
}

function measureText(signs: Measure): string {
  const has = (sign: RegExp) => sign.exec(signs);
  const ending = has(/\[([\d,]*)/);
  const times = has(/:\|(\d+)/)?.[1];
  const left = [
    ending ? `<ending number="${ending[1]}" type="start"/>` : "",
    has(/\|:/) ? '<repeat direction="forward"/>' : "",
  ].join("");
  const right = [
    has(/\]/) ? `<ending number="${ending?.[1] ?? ""}" type="stop"/>` : "",
    has(/:\|/) ? `<repeat direction="backward"${times ? ` times="${times}"` : ""}/>` : "",
  ].join("");
  const sound = ["segno", "coda", "dacapo", "dalsegno", "tocoda", "fine"]
    .filter((name) => new RegExp(`\\b${name}\\b`).test(signs))
    .map((name) =>
      direction("<words> </words>", {
        sound: `<sound ${name}="${/^d?a?l?segno$/.test(name) ? "s" : /coda/.test(name) ? "c" : "yes"}"/>`,
      }),
    );
  const said = has(/"([^"]+)"/)?.[1];
  return [
    left && `<barline location="left">${left}</barline>`,
    sound.join(""),
    said ? words(said) : "",
    note("C4", { duration: 4 }),
    right && `<barline location="right">${right}</barline>`,
  ].join("");
}

test.each<[string, Measure[], number[]]>([
  ["no signs", ["", "", ""], [1, 2, 3]],
  ["first and second ending", ["", "[1 ] :|", "[2 ]"], [1, 2, 1, 3]],
  ["a repeat from the beginning", ["", ":|", ""], [1, 2, 1, 2, 3]],
  ["a repeat from its sign", ["", "|:", ":|", ""], [1, 2, 3, 2, 3, 4]],
  ["two repeats in a row", ["|: :|", "|: :|", ""], [1, 1, 2, 2, 3]],
  ["a repeat of what follows a repeat", [":|", "", ":|"], [1, 1, 2, 3, 2, 3]],
  ["a repeat of several times", [":|3", ""], [1, 1, 1, 2]],
  ["a repeat of one time", [":|1", ""], [1, 2]],
  ["a repeat in a repeat", ["|:", "|: :|", ":|", ""], [1, 2, 2, 3, 1, 2, 2, 3, 4]],
  ["a repeat that is not closed", ["", "|:", ""], [1, 2, 3]],
  ["a repeat opened twice and closed once", ["|:", "|:", ":|", ""], [1, 2, 3, 2, 3, 4]],
  ["endings for several passes", ["|:", "[1,2 ] :|", "[3 ]", ""], [1, 2, 1, 2, 1, 3, 4]],
  ["an ending that comes again", ["|:", "[1,3 ] :|", "[2 ] :|", ""], [1, 2, 1, 3, 1, 2, 4]],
  ["endings of several measures", ["|:", "[1", "] :|", "[2", "]", ""], [1, 2, 3, 1, 4, 5, 6]],
  ["a first ending alone", ["|:", "[1 ] :|", ""], [1, 2, 1, 3]],
  ["endings twice", ["|:", "[1 ] :|", "[2 ]", "|:", "[1 ] :|", "[2 ]"], [1, 2, 1, 3, 4, 5, 4, 6]],
  ["D.C. al fine", ["", "fine", "", "dacapo"], [1, 2, 3, 4, 1, 2]],
  ["D.S. al fine", ["", "segno", "fine", "dalsegno"], [1, 2, 3, 4, 2, 3]],
  ["D.S. al coda", ["", "segno", "tocoda", "dalsegno", "coda"], [1, 2, 3, 4, 2, 3, 5]],
  ["D.C. without the repeats", ["|: :|", "|: fine :|", "dacapo"], [1, 1, 2, 2, 3, 1, 2]],
  ["D.C. with the last ending", ["|:", "[1 ] :|", "[2 ] fine", "dacapo"], [1, 2, 1, 3, 4, 1, 3]],
  ["D.C. without fine", ["", "dacapo", ""], [1, 2, 1, 2, 3]],
  ["D.S. without a segno", ["", "dalsegno", ""], [1, 2, 3]],
  ["words alone", ["", '"Fine"', '"D.C. al Fine"'], [1, 2, 3, 1, 2]],
  ["words for a coda", ["", '"To Coda"', '"D. C. al Coda"', '"Coda"'], [1, 2, 3, 1, 2, 4]],
])("%s", (_, measures, expected) => {
  expect(played(measures)).toEqual(expected);
});

test("of two coda signs without words the first is left for the second", () => {
  const coda = direction("<coda/>");
  const { score } = readScore(
    scoreText({
      measures: [note("C4"), note("D4") + coda, note("E4") + words("D.C. al Coda"), coda + note("F4")],
    }),
  );
  expect(playedOrder(score).measures.map((index) => index + 1)).toEqual([1, 2, 3, 1, 2, 4]);
});

test("a repeat of repeats stops at the limit", () => {
  const measures = Array.from({ length: 30 }, () => "|:");
  const text = scoreText({ measures: [...measures, ...measures.map(() => ":|999999")].map(measureText) });
  const order = playedOrder(readScore(text).score, 5000);
  expect(order.complete).toBe(false);
  expect(order.measures).toHaveLength(5000);
});

test("signs without sense come to an end", () => {
  let seed = 5;
  const random = (below: number): number => {
    seed = (seed * 1103515245 + 12345) % 2147483648;
    return Math.floor((seed / 2147483648) * below);
  };
  const signs = [
    "|:",
    ":|",
    ":|3",
    "[1",
    "[2",
    "[1,3",
    "[",
    "]",
    "segno",
    "coda",
    "dacapo",
    "dalsegno",
    "tocoda",
    "fine",
  ];
  for (let run = 0; run < 500; run += 1) {
    const measures = Array.from({ length: 12 }, () =>
      measureText(Array.from({ length: random(3) }, () => signs[random(signs.length)]).join(" ")),
    );
    const { score } = readScore(scoreText({ measures }));
    const order = playedOrder(score, 2000);
    expect(order.measures.every((index) => index >= 0 && index < 12)).toBe(true);
    for (const { from, to } of order.jumps) expect(to).not.toBe(from + 1);
  }
});

const numbers = (text: string): number[] =>
  text.split(" ").flatMap((piece) => {
    const [, inner, times] = /^\((.*)\)x(\d+)$/.exec(piece) ?? [];
    if (inner) return Array.from({ length: Number(times) }, () => inner.split(",").map(Number)).flat();
    const [from, to = from] = piece.split("-").map(Number);
    return Array.from({ length: to! - from! + 1 }, (_, i) => from! + i);
  });

// The files of LilyPond's suite say in words how they are meant; the others follow from their signs.
test.skipIf(!hasCorpus).each<[string, string]>([
  ["lilypond-suite/45a-SimpleRepeat.xml", "(1)x5 2"],
  ["lilypond-suite/45b-RepeatWithAlternatives.xml", "1 2 1 3 4"],
  ["lilypond-suite/45c-SimpleRepeat-Nested.xml", "1 (2,3)x5 4-8"],
  ["mx-suite/45c-RepeatMultipleTimes.xml", "1 (2,3)x5 4-7 1 (2,3)x5 4-7 1 (2,3)x5 4-8"],
  ["lilypond-suite/45e-Repeats-Combination.xml", "1 2 1 3 4 5 5 6 7 6 8 9 8 9 10"],
  ["lilypond-suite/45f-Repeats-InvalidEndings.xml", "1 2 4 1-4 1 2 4-8 6 8-14"],
  ["lilypond-suite/45g-Repeats-NotEnded.xml", "1 2"],
  ["lilypond-suite/45j-SimpleRepeat-Start.xml", "1 1 2"],
  ["lilypond-suite/45k-Repeats-Chords-FiguredBass.xml", "1 2 1 3 4"],
  ["partitura/test_unfold_complex.xml", "1 1-5 3 4 6 7 3 4 8 1-4"],
  ["partitura/test_unfold_dacapo.xml", "1 2 1-4 3-6 5-8 7 8 1-4"],
  ["partitura/test_unfold_volta_numbers.xml", "1 1-5 3 4 6 7 3 4 8 3-5 3-5"],
  ["osmd/OSMD_function_Test_Repeat.musicxml", "1 1-4 3 4"],
  ["osmd/test_staverepetitions_coda_etc.musicxml", "1 2 3 1 2 4 5"],
  ["osmd/test_voltas_interrupted_1615.musicxml", "1-5 1 2 6-8"],
  ["musicformats/RepeatEndingsWithDotsInNumbers.xml", "1 2 3 4"],
  ["musicformats/RepeatsAlternatives.xml", "1-4 1 2 5 6"],
])("%s", (path, expected) => {
  const { score } = readScore(decodeScoreFile(corpusFile(path)).text);
  const order = playedOrder(score);
  expect(order.complete).toBe(true);
  expect(order.measures.map((index) => index + 1)).toEqual(numbers(expected));
});
