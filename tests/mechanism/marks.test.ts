import { describe, expect, test } from "vitest";
import { harpPreset } from "../../shared/harp/instruments.ts";
import { openTuning, type Stringing, stringsSounding } from "../../shared/harp/tunings.ts";
import type { MechanismPrint } from "../../shared/mechanism/markEdits.ts";
import { guardedText } from "../../shared/musicxml/guard.ts";
import { decodeScoreFile } from "../../shared/musicxml/scoreFile.ts";
import { mechanismMarks } from "../../shared/score/mechanismMarks.ts";
import { playedOrder } from "../../shared/score/playedOrder.ts";
import { compare } from "../../shared/score/rational.ts";
import { readScore } from "../../shared/score/readScore.ts";
import { type Analysis, analyse } from "../../shared/service/analyse.ts";
import { writeMechanismMarks } from "../../shared/service/mechanismMarks.ts";
import { corpusFiles, hasCorpus } from "../support/corpus.ts";
import { hasSchema, invalidity } from "../support/libxml.ts";
import { Dice } from "../support/randomLines.ts";
import { note, scoreText } from "../support/scoreText.ts";
import { tinyScore } from "../support/tinyScore.ts";

const concert: Stringing = { harp: harpPreset("pedal-47")! };
const inEFlat: Stringing = { harp: harpPreset("lever-34")!, open: openTuning("Eb")! };

function written(text: string, instrument: Stringing, print?: MechanismPrint): string {
  const analysis = analyse(text, { instrument, print });
  return guardedText(text, writeMechanismMarks(analysis).edits, "mechanism marks added");
}

/** The marks and the notes of a score in the order of the text: `{Set: A♮} A4 {3E♮} E5`. */
function shown(text: string): string {
  const { score } = readScore(text);
  const [part] = score.parts;
  const marks = mechanismMarks(part!).map(({ span, kind }) => ({
    at: span.start,
    shown:
      kind === "words"
        ? `{${text.slice(span.start + "<words>".length, span.end - "</words>".length)}}`
        : diagram(text.slice(span.start, span.end)),
  }));
  const notes = part!.notes.map(({ site, pitch }) => ({
    at: site.span.start,
    shown: `${pitch.letter}${["b", "", "#"][pitch.alter + 1]}${pitch.octave}`,
  }));
  return [...marks, ...notes]
    .sort((a, b) => a.at - b.at)
    .map((one) => one.shown)
    .join(" ");
}

function diagram(xml: string): string {
  const pedals = [...xml.matchAll(/<pedal-step>(.)<\/pedal-step>\s*<pedal-alter>(-?\d)</g)];
  return `[${pedals.map(([, step, alter]) => `${step}${["b", "", "#"][Number(alter) + 1]}`).join(" ")}]`;
}

const writtenInto = (music: string, instrument: Stringing, print?: MechanismPrint): string =>
  shown(written(tinyScore(music).text, instrument, print));

describe("pedals", () => {
  // The order of a diagram: MusicXML 4.0, harp-pedals. What each foot moves: harpspectrum.org.
  test("a diagram before the first note, words where a change is made", () => {
    expect(writtenInto("@60 F#4/1 Bb4/1 C4/1 F4/1", concert)).toBe("[D C Bb E F# G A] F#4 Bb4 {F♮} C4 F4");
  });

  test("as late as the foot has time, and both feet at one place", () => {
    // A foot needs half a second: E. Volpé Bligh, Writing for the pedal harp.
    expect(writtenInto("@120 F4/1 B4/1 C4/1 D4/1 F#4/1 Bb4/1", concert)).toBe(
      "[D C B E F G A] F4 B4 C4 {F♯} D4 {B♭} F#4 Bb4",
    );
    expect(writtenInto("@120 F4+B4/1 C4/1 D4/1 F#4+Bb4/1", concert)).toBe(
      "[D C B E F G A] F4 B4 C4 {B♭ F♯} D4 F#4 Bb4",
    );
  });

  test("one foot makes two changes one after the other", () => {
    expect(writtenInto("@120 F4+G4/1 C4/1 D4/1 F#4+G#4/1", concert)).toBe(
      "[D C B E F G A] F4 G4 {F♯} C4 {G♯} D4 F#4 G#4",
    );
  });

  test("by syllables, and in diagrams", () => {
    const music = "@60 F4+B4+E4/1 C4/1 F#4+Bb4+Eb4/1 C4/1 F4/1";
    expect(writtenInto(music, concert, { pedalWords: "syllables" })).toContain("{Si ♭ Mi ♭ Fa ♯} C4");
    expect(writtenInto(music, concert, { pedalChanges: "diagrams" })).toBe(
      "[D C B E F G A] F4 B4 E4 [D C Bb Eb F# G A] C4 F#4 Bb4 Eb4 [D C Bb Eb F G A] C4 F4",
    );
    expect(writtenInto(music, concert, { pedalChanges: "large" })).toContain("[D C Bb Eb F# G A] C4");
    expect(writtenInto(music, concert, { pedalChanges: "large" })).toContain("{F♮} C4 F4");
  });

  test("what is written and right stays, what is wrong stays too and the right mark comes after it", () => {
    const right = "@60 <F ♯>F#4/1 C4/1 <F ♮>F4/1";
    expect(written(tinyScore(right).text, concert)).toBe(tinyScore(right).text);
    expect(writtenInto("@60 <F ♯>F#4/1 C4/1 <F ♭>D4/1 E4/1 F4/1", concert)).toBe(
      "{F ♯} F#4 C4 {F ♭} D4 {F♮} E4 F4",
    );
  });
});

describe("levers", () => {
  // Octaves from the top: mossharpservice.com, how harp strings are numbered. F5 is in the second, E5 in the third.
  test("those that are up before the piece, then each string by its octave", () => {
    expect(writtenInto("R: @60 A4/1 E5/1 r/2 | E5/1 Eb5/1 // L: r/4 | r/1 r/1", inEFlat)).toBe(
      "{Set: E♮ A♮} A4 E5 E5 {3E♭} Eb5",
    );
    expect(writtenInto("R: @60 F5/1 r/2 F#5/1 // L: C3/1", inEFlat)).toBe("F5 {2F♯} F#5 C3");
  });

  test("one string of a letter alone has its octave from the start", () => {
    expect(writtenInto("@60 F#4/1 F5/1", inEFlat)).toBe("{Set: 3F♯} F#4 F5");
  });

  test("at the note for which the left hand has come off", () => {
    const music = "R: @60 F4/2 r/2 F#4/1 // L: C3/1 r/2 D3/1 E3/1";
    expect(writtenInto(music, { ...inEFlat, open: openTuning("C")! })).toBe("F4 C3 {3F♯} D3 F#4 E3");
  });
});

test("where they go: pedals below the staves, levers between them", () => {
  const { text } = tinyScore("R: @60 F4/2 F#4/2 // L: C3/1");
  const below = written(text, concert);
  expect(below.match(/<direction placement="below">[\s\S]*?<\/direction>/g)!.length).toBe(2);
  const music = tinyScore("R: @60 F4/1 r/2 F#4/1 // L: C3/1").text;
  expect(written(music, inEFlat)).toMatch(
    /<direction placement="above">\s*<direction-type>\s*<words>3F♯<\/words>\s*<\/direction-type>\s*<staff>2<\/staff>/,
  );
});

test("where the encoding has no such signs they are written as references, and are read again", () => {
  const latin = tinyScore("F4/2 F#4/2").text.replace('encoding="UTF-8"', 'encoding="ISO-8859-1"');
  const once = written(latin, concert, { pedalWords: "syllables" });
  expect(once).toContain("<words>Fa &#9839;</words>");
  expect(written(once, concert)).toBe(once);
});

test("who the harp is must be known", () => {
  expect(() => writeMechanismMarks(analyse(tinyScore("C4").text))).toThrow('name it under "harp"');
});

test("in a first and a second ending the mark stands where only that ending passes it", () => {
  const bar = (content: string): string => content;
  const text = scoreText({
    measures: [
      bar(note("F4", { duration: 2 }) + note("C4", { duration: 2 })),
      `<barline location="left"><ending number="1" type="start"/></barline>${note("F#4", { duration: 2 })}${note("D4", { duration: 2 })}<barline location="right"><ending number="1" type="stop"/><repeat direction="backward"/></barline>`,
      `<barline location="left"><ending number="2" type="start"/></barline>${note("F4", { duration: 4 })}<barline location="right"><ending number="2" type="stop"/></barline>`,
    ],
  });
  expect(shown(written(text, concert))).toBe("[D C B E F G A] {F♮} F4 C4 {F♯} F#4 D4 F4");
});

/**
 * Follows the marks through every playing as a player does: the last one passed counts. Written without the plan.
 * @returns the notes that would sound wrong.
 */
function wrongNotes({ score, harp, instrument, hands, pedals }: Analysis): string[] {
  const part = harp!.parts[0]!;
  const marks = mechanismMarks(part);
  // Notes that no setting has together ask for nothing.
  const together = new Set((pedals?.impossible ?? []).flat().map(({ entry }) => entry));
  const plucked = new Set(
    hands.flatMap(({ line }) =>
      line.events.flatMap(({ notes }) =>
        notes.filter((entry) => !together.has(entry)).map((entry) => entry.note),
      ),
    ),
  );
  const isPedal = instrument!.harp.mechanism === "pedal";
  const now = new Map<string, number>();
  const wrong: string[] = [];
  for (const measure of playedOrder(score).measures) {
    const said = marks.filter((mark) => mark.measure.index === measure);
    const notes = part.notes.filter((one) => one.measure.index === measure && plucked.has(one));
    const steps = [
      ...said.map((mark) => ({ position: mark.position, at: mark.span.start, mark, note: undefined })),
      ...notes.map((one) => ({
        position: one.position,
        at: one.site.span.start,
        mark: undefined,
        note: one,
      })),
    ].sort((a, b) => compare(a.position, b.position) || Number(!a.mark) - Number(!b.mark) || a.at - b.at);
    for (const { mark, note: one } of steps) {
      for (const { letter, string, alter } of mark?.settings ?? [])
        now.set(`${letter}${string ?? ""}`, alter);
      for (const { letter, string, alter } of mark?.settings ?? []) {
        if (string !== undefined) continue;
        // All strings of a letter are set anew.
        for (const key of now.keys()) if (key.startsWith(letter)) now.set(key, alter);
      }
      if (!one) continue;
      const sounding = stringsSounding(instrument!, {
        string: one.string,
        alter: Math.round(one.pitch.alter),
      });
      const own = isPedal ? sounding.find(({ string }) => string === one.string) : undefined;
      const played = own ?? sounding[0];
      if (!played) continue;
      const letter = "CDEFGAB"[((played.string % 7) + 7) % 7]!;
      const open = isPedal || !instrument!.open!.flats.includes(letter) ? 0 : -1;
      const state = (isPedal ? undefined : now.get(`${letter}${played.string}`)) ?? now.get(letter) ?? open;
      if (state !== played.alter)
        wrong.push(`${one.pitch.letter}${one.pitch.alter} in bar ${one.measure.number}`);
    }
  }
  return wrong;
}

describe("whoever follows the marks plays the notes, and writing again changes nothing", () => {
  const holds = (text: string, instrument: Stringing, about: string): void => {
    const once = written(text, instrument);
    expect(wrongNotes(analyse(once, { instrument })), about).toEqual([]);
    expect(written(once, instrument) === once, `${about}: a second time`).toBe(true);
  };

  test("random music", () => {
    const dice = new Dice(11);
    for (let i = 0; i < 30; i += 1) {
      const line = (octave: number): string =>
        Array.from({ length: 16 }, () => {
          if (dice.chance(0.2)) return "r/0.5";
          return `${dice.oneOf(["C", "C#", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"])}${octave}/0.5`;
        }).join(" ");
      const music = `R: @60 ${line(4)} // L: ${line(2)}`;
      const { text } = tinyScore(music);
      holds(text, dice.oneOf([concert, inEFlat]), music);
    }
  });

  test.skipIf(!hasCorpus)("real scores (skipped without ../shared/corpus)", () => {
    let marked = 0;
    for (const file of corpusFiles().filter((_, i) => i % 4 === 0)) {
      const bytes = file.bytes();
      if (bytes.length > 25_000 || !/\.(musicxml|mxl|xml)$/.test(file.path)) continue;
      let text: string;
      try {
        ({ text } = decodeScoreFile(bytes));
      } catch {
        continue;
      }
      for (const instrument of [concert, inEFlat]) {
        const { harp, hands, problems } = analyse(text, { instrument });
        const isWhole = problems.every(({ severity }) => severity !== "error");
        if (!isWhole || harp?.parts.length !== 1 || hands.length === 0) continue;
        // Wrong marks of its own stay: they are a finding.
        if (mechanismMarks(harp.parts[0]!).length > 0) continue;
        // In grace notes a mark has no time of its own that this simple reading could follow.
        if (harp.parts[0]!.notes.some(({ grace }) => grace)) continue;
        if (harp.parts[0]!.notes.some(({ pitch }) => Math.abs(pitch.alter) > 1)) continue;
        holds(text, instrument, file.path);
        marked += 1;
      }
    }
    expect(marked).toBeGreaterThan(10);
  });

  // Source: MusicXML 4.0, musicxml.xsd, read by libxml2.
  test.skipIf(!hasSchema)("what is written is valid MusicXML (skipped without the schema)", () => {
    const music = "R: @60 F4+E5/1 C4/1 F#4+Eb5/1 // L: A2/1 r/1 Ab2/1";
    for (const instrument of [concert, inEFlat]) {
      for (const pedalChanges of ["words", "diagrams"] as const) {
        const text = written(tinyScore(music).text, instrument, { pedalChanges, pedalWords: "syllables" });
        expect(text).toContain("<direction-type>");
        expect(invalidity(Buffer.from(text))).toBeUndefined();
      }
    }
  });
});
