import { readFileSync } from "node:fs";
import { join } from "node:path";
import { parse } from "musicxml-io";
import { VerovioToolkit } from "verovio/esm";
import createVerovioModule from "verovio/wasm";
import { beforeAll, describe, expect, test } from "vitest";
import { decodeScoreFile } from "../../shared/musicxml/scoreFile.ts";
import type { BracketEnd, Note, Part } from "../../shared/score/model.ts";
import { toNumber } from "../../shared/score/rational.ts";
import { type Analysis, analyse } from "../../shared/service/analyse.ts";
import { fingeredText, fingerScore } from "../../shared/service/fingerScore.ts";
import { applyEdits } from "../../shared/text/edits.ts";
import { corpusFile, hasCorpus } from "../support/corpus.ts";
import { tinyScore } from "../support/tinyScore.ts";

const demo = (name: string): string =>
  readFileSync(join(import.meta.dirname, "../../fixtures/demo", name), "utf8");

/** A crossing, overlaps, chords, two hands, brackets over a barline. */
const tiny = tinyScore(
  "R: C4 D4 E4 F4 G4 A4 B4 C5 | C5 B4 A4 G4 F4 E4 D4 C4 | C4+E4+G4 C5 G4 E4 C4/2 // L: C3 G3 E4 G3 C3/2 | C3/1 E3+G3/1 C3/1 E3+G3/1 | C3/4",
).text;

const scores: [string, () => string, string?][] = [
  ["a short score", () => tiny],
  ["evening-tide", () => demo("evening-tide.musicxml")],
  ["millrace-reel", () => demo("millrace-reel.musicxml")],
];
if (hasCorpus) {
  for (const [path, part] of [
    ["lieder/Abrams_Crazy_Jane_lc6583907.mxl"],
    ["partitura/mozart_k265_var1.musicxml"],
  ] as [string, string?][]) {
    scores.push([path, () => decodeScoreFile(corpusFile(path)).text, part]);
  }
}

/** The score fingered, and read again. */
function fingered(text: string, part: string | undefined): Analysis {
  const analysis = analyse(text, { part });
  return analyse(fingeredText(analysis, fingerScore(analysis, { mode: "fresh" })), { part });
}

/** The digits that the notes of the harp have by our own reading: place among the part's notes, and digit. */
function ownFingers(part: Part): string[] {
  return part.notes.flatMap((note) => note.fingerings.map(({ text }) => `${note.index}: ${text}`));
}

describe.each(scores)("%s", { timeout: 300_000 }, (_, text, part) => {
  let written: Analysis;
  let harp: Part;
  beforeAll(() => {
    written = fingered(text(), part);
    harp = written.harp!.parts[0]!;
    expect(ownFingers(harp).length).toBeGreaterThan(10);
    expect(written.hands.flatMap(({ placings }) => placings).length).toBeGreaterThan(3);
    expect(written.hands.flatMap(({ brackets }) => brackets.unmatched)).toEqual([]);
  }, 300_000);

  test("musicxml-io finds the fingers and brackets on the same notes", () => {
    const score = parse(written.text);
    const read = score.parts.find(({ id }) => id === harp.id)!;
    const fingers: string[] = [];
    const brackets: string[] = [];
    const open = new Map<number, number>();
    let notes = 0;
    for (const entry of read.measures.flatMap(({ entries }) => entries)) {
      if (entry.type === "note" && entry.pitch) {
        for (const notation of entry.notations ?? []) {
          if (notation.type === "technical" && notation.technical === "fingering") {
            fingers.push(`${notes}: ${notation.text}`);
          }
        }
        notes += 1;
      } else if (entry.type === "direction") {
        for (const sign of entry.directionTypes) {
          if (sign.kind !== "bracket") continue;
          const number = sign.number ?? 1;
          if (sign.type === "start") open.set(number, notes);
          else brackets.push(`${open.get(number)} to ${notes - 1}`);
        }
      }
    }
    expect(notes).toBe(harp.notes.length);
    expect(fingers).toEqual(ownFingers(harp));
    // Numbers tell brackets apart in the order of the document: from the next note to the last one.
    const own = written.hands.flatMap(({ brackets: { brackets: all } }) =>
      all.map(({ start, stop }) => `${start.notesBefore} to ${stop.notesBefore - 1}`),
    );
    expect(brackets.sort()).toEqual(own.sort());
    for (const { line, brackets: all } of written.hands) {
      for (const { first, last, start, stop } of all.brackets) {
        const under = (event: number): Note[] =>
          line.events[event]!.notes.flatMap(({ note, doubles }) => [note, ...doubles]);
        const chordOf = (note: Note | undefined): Note[] => chordNotes(harp, note);
        expect(under(first).some((note) => chordOf(harp.notes[start.notesBefore]).includes(note))).toBe(true);
        expect(under(last).some((note) => chordOf(harp.notes[stop.notesBefore - 1]).includes(note))).toBe(
          true,
        );
      }
    }
  });

  test("verovio finds the fingers and brackets on the same notes", async () => {
    const toolkit = new VerovioToolkit(await createVerovioModule());
    const ids = new Map(harp.notes.map((note) => [note, `h${note.index}`]));
    const named = applyEdits(
      written.text,
      harp.notes.map((note) => {
        const at = note.site.span.start + "<note".length;
        const own = / id="([^"]*)"/.exec(
          written.text.slice(note.site.startTag.start, note.site.startTag.end),
        )?.[1];
        if (own !== undefined) ids.set(note, own);
        return { span: { start: at, end: at }, text: own === undefined ? ` id="${ids.get(note)}"` : "" };
      }),
    );
    expect(toolkit.loadData(named)).toBeTruthy();
    const mei = toolkit.getMEI();
    const all = new Set(ids.values());
    const found = [...mei.matchAll(/<fing\b[^>]*startid="#([^"]+)"[^>]*>([^<]*)</g)]
      .map(([, id, digit]) => `${id}: ${digit}`)
      .filter((each) => all.has(each.split(":")[0]!));
    const own = harp.notes.flatMap((note) =>
      note.fingerings.map(({ text: digit }) => `${ids.get(note)}: ${digit}`),
    );
    expect(found.sort()).toEqual(own.sort());

    const spans = [...mei.matchAll(/<bracketSpan\b[^>]*>/g)].map(([tag]) => {
      const value = (name: string) => new RegExp(` ${name}="([^"]*)"`).exec(tag)?.[1];
      return `${value("tstamp")} to ${value("tstamp2")}`;
    });
    expect(spans.sort()).toEqual(longestOpenFirst(written).sort());
  });
});

/**
 * Verovio (6.3) closes the bracket that has been open longest in the document, whatever its number says; so its pairs
 * are ours only where no bracket of another staff is open. That every end is found in its place shows all the same.
 */
function longestOpenFirst({ hands, text }: Analysis): string[] {
  const ends = hands.flatMap(({ brackets }) => brackets.brackets.flatMap(({ start, stop }) => [start, stop]));
  ends.sort((a, b) => a.span.start - b.span.start);
  const open: BracketEnd[] = [];
  return ends.flatMap((end) => {
    if (end.type === "start") {
      open.push(end);
      return [];
    }
    const start = open.shift()!;
    return [`${beat(start, text)} to ${end.measure.index - start.measure.index}m+${beat(end, text)}`];
  });
}

/** The notes of a chord, whichever of them is given. */
function chordNotes(part: Part, note: Note | undefined): Note[] {
  if (!note) return [];
  let first = note.index;
  while (first > 0 && part.notes[first]!.chord) first -= 1;
  let end = note.index + 1;
  while (part.notes[end]?.chord) end += 1;
  return part.notes.slice(first, end);
}

/** As MEI counts: beats of the time signature from 1. */
function beat(end: BracketEnd, text: string): string {
  const before = text.slice(0, end.measure.span.end);
  const types = [...before.matchAll(/<beat-type>(\d+)</g)];
  const beatType = Number(types[types.length - 1]?.[1] ?? 4);
  return String(Number((1 + (toNumber(end.position) * beatType) / 4).toFixed(4)));
}
