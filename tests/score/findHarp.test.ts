import { expect, test } from "vitest";
import { decodeScoreFile } from "../../shared/musicxml/scoreFile.ts";
import { findHarp } from "../../shared/score/findHarp.ts";
import { namesHarp } from "../../shared/score/isHarp.ts";
import { readScore } from "../../shared/score/readScore.ts";
import { InputError } from "../../shared/text/problem.ts";
import { corpusFile, hasCorpus } from "../support/corpus.ts";
import { readLines } from "../support/readLines.ts";
import { attributes, note, scoreText } from "../support/scoreText.ts";

const bar = note("C4", { duration: 4 });
const chosen = (text: string, wanted?: string) => {
  const { parts, assumptions } = findHarp(readScore(text).score, wanted);
  return { ids: parts.map(({ id }) => id), assumptions };
};

test.each([
  ["English", "Harp", "2 Harps", "Pedal Harp", "Lever Harp 1", "Harp I", "Harps", "HARP"],
  ["German", "Harfe", "Harfen", "1. Harfe"],
  ["French", "Harpe", "Harpe celtique", "1re Harpe", "Harpes"],
  ["Italian and Spanish", "Arpa", "Arpe", "Arpas", "Arpa I"],
  ["Welsh and Breton", "Telyn", "Telynau", "Telenn"],
  ["Irish and Scottish Gaelic", "Cláirseach", "Clairseach", "Clàrsach", "Cruit"],
  ["Dutch and Nordic", "Harp", "Harpa", "Harpe"],
  ["other scripts", "Арфа", "竖琴", "ハープ", "하프"],
])("a part is a harp's by its name in %s", (_, ...names) => {
  for (const name of names) expect(namesHarp(name), name).toBe(true);
});

test("names that hold the word and are no harp", () => {
  const others = [
    "Harpsichord",
    "Autoharp",
    "Jew's Harp",
    "Mouth Harp",
    "Harp Guitar",
    "Harper",
    "Aeolian Harp",
    "Arpeggiator",
    "Sharp",
    "Cruiter",
  ];
  for (const name of others) expect(namesHarp(name), name).toBe(false);
});

test("a name that is broken into lines is one in sentences, and chosen by as one", () => {
  const text = scoreText({ name: "Chant\n  Voice", measures: [bar] }, { name: "Harpe", measures: [bar] });
  expect(readScore(text).score.parts[0]!.name).toBe("Chant Voice");
  const { ids, assumptions } = chosen(text, "chant voice");
  expect(ids).toEqual(["P1"]);
  expect(assumptions.join("")).toContain("Chant Voice (P1) has one staff");
});

test("a harp is known by its sound or its program as well", () => {
  const instrument = (inner: string, midi = "") =>
    `<score-instrument id="I2"><instrument-name>x</instrument-name>${inner}</score-instrument>${midi}`;
  const other = { name: "Flute", measures: [bar] };
  const bySound = {
    name: "x",
    instruments: instrument("<instrument-sound>pluck.harp</instrument-sound>"),
    measures: [bar],
  };
  expect(chosen(scoreText(other, bySound)).ids).toEqual(["P2"]);
  // General MIDI, program 47 (counted from 1): orchestral harp.
  const midi = `<midi-instrument id="I2"><midi-program>47</midi-program></midi-instrument>`;
  expect(
    chosen(scoreText(other, { name: "x", instruments: instrument("", midi), measures: [bar] })).ids,
  ).toEqual(["P2"]);
  const harpsichord = {
    name: "x",
    instruments: instrument("<instrument-sound>pluck.harpsichord</instrument-sound>"),
    measures: [bar],
  };
  expect(() => chosen(scoreText(other, harpsichord))).toThrow(InputError);
});

test("without a harp: the only part, or the only part of two staves, is taken, and that is said", () => {
  const one = chosen(scoreText({ name: "Melody", measures: [bar] }));
  expect(one.ids).toEqual(["P1"]);
  expect(one.assumptions[0]).toBe("The only part, Melody (P1), is taken as the harp.");
  const grand = { name: "Keys", measures: [attributes({ staves: 2 }) + bar] };
  const two = chosen(scoreText({ name: "Voice", measures: [bar] }, grand));
  expect(two.ids).toEqual(["P2"]);
  expect(two.assumptions[0]).toContain("Keys (P2), the only part with two staves, is taken as one.");
  expect(() => chosen(scoreText(grand, { ...grand, name: "More keys" }))).toThrow(
    "No part can be taken as a harp. Name one of: Keys (P1), More keys (P2).",
  );
});

test("a part is named by its id or its name; several harps are said", () => {
  const text = scoreText(
    { name: "Harp 1", measures: [attributes({ staves: 2 }) + bar] },
    { name: "Harp 2", measures: [bar] },
  );
  expect(chosen(text, "p2").ids).toEqual(["P2"]);
  expect(chosen(text, "HARP 2").ids).toEqual(["P2"]);
  expect(() => chosen(text, "Lute")).toThrow(
    'There is no part "Lute". The parts are: Harp 1 (P1), Harp 2 (P2).',
  );
  expect(chosen(text).assumptions).toContain("Other harp parts are left alone: Harp 2 (P2).");
});

test("two parts of one staff each that differ in the hand are one harp", () => {
  for (const [upper, lower] of [
    ["Harp RH", "Harp LH"],
    ["Harp (r.h.)", "Harp (l.h.)"],
    ["Harpe m.d.", "Harpe m.g."],
    ["Harp 1", "Harp 2"],
    ["Harp", "Harp"],
    ["Harp Right Hand", "Harp Left Hand"],
  ]) {
    const { right, left, assumptions } = readLines(
      scoreText({ name: upper!, measures: [note("C5")] }, { name: lower!, measures: [note("C3")] }),
    );
    expect([right, left], upper).toEqual(["C5@0", "C3@0"]);
    expect(assumptions[0]).toContain("are taken as the two staves of one harp");
  }
});

test("one staff is the hand of its clef; three staves and more are said; settings decide", () => {
  expect(readLines(scoreText({ measures: [attributes({ clefs: ["F"] }) + note("C3")] })).left).toBe("C3@0");
  const three = scoreText({
    measures: [
      attributes({ staves: 3, clefs: ["G", "G", "F"] }) +
        [1, 2, 3].map((staff) => note(["C5", "C4", "C3"][staff - 1]!, { staff, chord: staff > 1 })).join(""),
    ],
  });
  const read = readLines(three);
  expect([read.right, read.left]).toEqual(["C4+C5@0", "C3@0"]);
  expect(read.assumptions).toContain("Of 3 staves the hands are taken as: 1 right, 2 right, 3 left.");
  const decided = readLines(three, undefined, { staves: ["right", "left", "left"] });
  expect([decided.right, decided.left]).toEqual(["C5@0", "C3+C4@0"]);
  expect(decided.assumptions).toEqual([]);
});

const twoInstruments = [
  `<score-instrument id="I1"><instrument-name>Piano</instrument-name></score-instrument>`,
  `<score-instrument id="I2"><instrument-name>Harp</instrument-name></score-instrument>`,
].join("");

test("a player who takes the harp midway: the notes before are not the harp's", () => {
  const byNote = scoreText({
    name: "Piano",
    instruments: twoInstruments,
    measures: [
      note("C4", { instrument: "I1" }),
      note("D4", { instrument: "I2" }),
      note("E4", { instrument: "I1" }),
    ],
  });
  expect(readLines(byNote).right).toBe("D4@1");
  expect(readLines(byNote).assumptions).toContain(
    "Piano is played on Piano, Harp: only measures 2 are the harp's.",
  );
  const change = (id: string) =>
    `<sound><instrument-change><score-instrument id="${id}"/></instrument-change></sound>`;
  const byChange = scoreText({
    name: "Piano",
    instruments: twoInstruments,
    measures: [note("C4"), change("I2") + note("D4"), note("E4"), change("I1") + note("F4")],
  });
  expect(readLines(byChange).right).toBe("D4@1 E4@2");
});

test.skipIf(!hasCorpus).each([
  ["lieder/Bishop_Home__Sweet_Home_lc6486038.mxl", ["P2"]],
  ["lieder/Abrams_Crazy_Jane_lc6583907.mxl", ["P2"]],
  ["hauptstimme/D_un_matin_de_printemps.mxl", ["P27"]],
  ["mx/freezing.xml", ["P5", "P6"]],
  ["libmusicxml/water_waltz_fullscore_trimmed.musicxml", undefined],
  ["mx/k013a_OrchestralScoreFinale.xml", undefined],
  ["mx/k013b_OrchestralScoreSibelius.xml", undefined],
])("the harp of %s", (path, ids) => {
  const { score } = readScore(decodeScoreFile(corpusFile(path)).text);
  const harp = findHarp(score);
  if (ids) expect(harp.parts.map(({ id }) => id)).toEqual(ids);
  else expect(harp.parts[0]!.name).toMatch(/harp/i);
});
