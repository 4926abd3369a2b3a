import { readFileSync } from "node:fs";
import { expect, test } from "vitest";
import { guardedText } from "../../shared/musicxml/guard.ts";
import { analyse } from "../../shared/service/analyse.ts";
import { panelEdits } from "../../shared/service/panelChange.ts";
import { panelNote } from "../../shared/service/panelNote.ts";
import { passageName } from "../../shared/service/panelRepeats.ts";
import { type PanelScore, panelReading } from "../../shared/service/panelScore.ts";
import { panelWays } from "../../shared/service/panelWays.ts";
import { tinyScore } from "../support/tinyScore.ts";
import { demoPath } from "./support/viewed.ts";

function readingOf(text: string): PanelScore {
  const reading = panelReading(analyse(text));
  if (reading.state !== "score") throw new Error(reading.why);
  return reading;
}

function engraved(score: PanelScore): string {
  return score.engraving.parts.flat().join("");
}

test("every note of the copy has an id of its own, whatever ids the score has", () => {
  const { text } = tinyScore("C4 E4:2 G4:1 | r C5");
  const withIds = text.replace("<note>", '<note id="note-0-1">');
  const score = readingOf(withIds);
  const ids = [...engraved(score).matchAll(/<note id="([^"]*)"/g)].map(([, id]) => id);
  expect(new Set(ids).size).toBe(ids.length);
  expect(score.notes.map(({ id }) => id)).toEqual(["note-0-0", "note-0-1", "note-0-2", "note-0-3"]);
  expect(ids).toEqual(expect.arrayContaining(score.notes.map(({ id }) => id)));
});

test("the copy has proposed fingers where none are printed, and no placing brackets", () => {
  const { text } = tinyScore("(C4:2 E4:1) C4 E4");
  const score = readingOf(text);
  const copy = engraved(score);
  expect(copy).not.toContain("<bracket");
  expect(copy.match(/<fingering/g)).toHaveLength(4);
  expect(score.notes.map(({ finger, from }) => [finger, from])).toEqual([
    [2, "print"],
    [1, "print"],
    [2, "proposal"],
    [1, "proposal"],
  ]);
  expect(score.brackets.filter(({ from }) => from === "print")).toMatchObject([
    { hand: "right", first: 0, last: 1, firstNotes: ["note-0-0"], lastNotes: ["note-0-1"] },
  ]);
});

test("a timewise score is copied as a partwise one", () => {
  const { text } = tinyScore("C4 D4 | E4 F4");
  const partwise = readingOf(text);
  const measures = [...text.matchAll(/<measure number="(\d+)"[^>]*>([\s\S]*?)<\/measure>/g)];
  const timewise = text
    .replace(/<part id="P1">[\s\S]*<\/part>/, () =>
      measures
        .map(([, n, inner]) => `<measure number="${n}"><part id="P1">${inner}</part></measure>`)
        .join(""),
    )
    .replaceAll("score-partwise", "score-timewise");
  expect(readingOf(timewise).engraving).toEqual(partwise.engraving);
});

test("a text that cannot be read says why and where; an empty one too", () => {
  const { text } = tinyScore("C4 D4");
  const cut = panelReading(analyse(text.slice(0, text.indexOf("</note>"))));
  expect(cut).toMatchObject({ state: "broken", line: expect.any(Number), column: expect.any(Number) });
  expect(panelReading(analyse("")).state).toBe("broken");
});

test("fingers stand before they play; connected placings before the last note of the one before", () => {
  // common practice, no source: an ascending octave is 4 3 2 1, then 4 under the thumb and 4 3 2 1 again.
  const { text } = tinyScore("C4 D4 E4 F4 G4 A4 B4 C5");
  const [hand] = readingOf(text).hands;
  expect(hand!.stays.map(({ finger }) => finger).join("")).toBe("43214321");
  for (const { comingMicros, setMicros, playedMicros } of hand!.stays) {
    expect(comingMicros).toBeLessThanOrEqual(setMicros);
    expect(setMicros).toBeLessThanOrEqual(playedMicros);
  }
  const second = hand!.stays.filter(({ placing }) => placing === 1);
  const thumbPlays = hand!.events[3]!.atMicros;
  expect(hand!.placings[1]!.joint).toBe("cross");
  for (const { setMicros } of second) expect(setMicros).toBeLessThan(thumbPlays);
  expect(hand!.looks).toEqual([]);
});

test("the eyes are needed where a hand comes off and lands elsewhere, for less than half a second", () => {
  const { text } = tinyScore("C4/2 r/2 | C6/2 r/2");
  const [hand] = readingOf(text).hands;
  expect(hand!.looks).toHaveLength(1);
  const [look] = hand!.looks;
  expect(look!.toMicros).toBe(hand!.events[1]!.atMicros);
  expect(look!.toMicros - look!.fromMicros).toBe(400_000);
  expect([look!.lowest, look!.highest]).toEqual([42, 42]);
});

test("MIDI pitches follow the written accidentals; middle C is 60", () => {
  // Source: MIDI 1.0, note numbers: middle C is 60.
  const { text } = tinyScore("C4 F#4 Bb4");
  const pitches = readingOf(text).hands[0]!.events.map(({ notes }) => notes[0]!.midi);
  expect(pitches).toEqual([60, 66, 70]);
});

test("another way is one that its digits show, and using it prints just that", () => {
  const { text } = tinyScore("C4:4 D4:3 E4:2 F4:1 G4:2 A4:1");
  const analysis = analyse(text);
  const ways = panelWays(analysis, "note-0-4");
  expect(ways.length).toBeGreaterThan(0);
  const order = ways.map(({ moreMilli }) => moreMilli);
  expect(order).toEqual([...order].sort((a, b) => a - b));
  for (const [index, way] of ways.entries()) {
    expect(
      way.notes.some(({ changed }) => changed) || way.notes.some(({ placingBegins }) => placingBegins),
    ).toBe(true);
    expect(way.words).toMatch(/^costs /);
    const { edits } = panelEdits(analysis, { kind: "way", note: "note-0-4", way: index });
    const after = readingOf(guardedText(text, edits));
    const digits = way.notes.map(({ finger }) => String(finger));
    const printed = after.notes.map((note) => note.printed[0]);
    expect(printed.join("")).toContain(digits.join(""));
  }
});

test("one occurrence is made like another, the music around it kept", () => {
  const phrase = (digits: string): string =>
    ["C4", "E4", "G4", "E4", "D4", "F4", "A4", "F4"].map((pitch, i) => `${pitch}:${digits[i]}`).join(" ");
  const { text } = tinyScore(`${phrase("32123212")} | C5:1/4 | ${phrase("42124212")}`);
  const analysis = analyse(text);
  const before = readingOf(text);
  const passage = before.repeats.passages.findIndex(({ likeness }) => likeness === "unlike");
  expect(passage).toBeGreaterThanOrEqual(0);
  const { edits } = panelEdits(analysis, { kind: "alike", passage, model: 0, target: 1 });
  const after = readingOf(guardedText(text, edits));
  expect(after.repeats.passages[passage]!.occurrences[1]!.cells.some((cell) => cell?.differs.fingers)).toBe(
    false,
  );
  expect(after.notes.map(({ printed }) => printed.join("")).join("")).toBe("32123212132123212");
});

test("a note's cost by term adds up, and the other fingers are weighed in words", () => {
  const { text } = tinyScore("C4:4 D4:3 E4:2 F4:1 G4 A4 B4 C5");
  const details = panelNote(analyse(text), "note-0-3");
  expect(details).toMatchObject({
    pitch: "F4",
    finger: 1,
    from: "print",
    printed: ["1"],
    bar: "1",
    beat: "5/2",
  });
  for (const { cost, terms } of details.placings) {
    const sum = terms.reduce((total, term) => total + Number(term.cost), 0);
    expect(sum).toBeCloseTo(Number(cost), 2);
  }
  expect(details.otherFingers.map(({ finger }) => finger)).not.toContain(1);
});

test("passages are named like columns: A to Z, then AA", () => {
  expect([0, 25, 26, 27, 701, 702].map(passageName)).toEqual(["A", "Z", "AA", "AB", "ZZ", "AAA"]);
});

test("the repeats of a demo piece lie in the bars where they stand, in order", () => {
  const score = readingOf(readFileSync(demoPath("lantern-waltz.musicxml"), "utf8"));
  for (const { occurrences } of score.repeats.passages) {
    for (const { from, to, cells, hand, first } of occurrences) {
      expect(from).toBeLessThan(to);
      expect(to).toBeLessThanOrEqual(score.measures.length);
      const own = score.hands.find((each) => each.hand === hand)!;
      expect(Math.floor(from)).toBe(own.events[first]!.measure);
      expect(cells.some((cell) => cell !== undefined)).toBe(true);
    }
  }
});
