import { describe, expect, test } from "vitest";
import { readScore } from "../../shared/score/readScore.ts";
import { picture } from "./picture.ts";
import { tinyScore } from "./tinyScore.ts";

/** The notes of a text, read back: pitch, length, voice, staff. */
function notesOf(text: string): string[] {
  const { score, problems } = readScore(text);
  expect(problems).toEqual([]);
  return score.parts[0]!.notes.map(
    ({ pitch, duration, voice, staff, measure }) =>
      `${measure.number}: ${pitch.letter}${pitch.alter}${pitch.octave} ${duration.n}/${duration.d} v${voice} s${staff}`,
  );
}

const marked = (notation: string): string[] => {
  const { text, marks } = tinyScore(notation);
  return marks.map(({ start, end }) => text.slice(start, end));
};

describe("the short notation", () => {
  test("pitches, lengths and bars", () => {
    expect(notesOf(tinyScore("C4 F#4/1 Bb3/0.25 F##4/2.25 D4/1/3 D4/1/3 D4/1/3 | E4/4 G4").text)).toEqual([
      "1: C04 1/2 v1 s1",
      "1: F14 1/1 v1 s1",
      "1: B-13 1/4 v1 s1",
      "1: F24 9/4 v1 s1",
      "2: D04 1/3 v1 s1",
      "2: D04 1/3 v1 s1",
      "2: D04 1/3 v1 s1",
      "3: E04 4/1 v1 s1",
      "4: G04 1/2 v1 s1",
    ]);
  });

  test("hands have staves and voices of their own, and bars that end together", () => {
    const { text } = tinyScore("R: C5/4 D5 // L: C3/1 G3 // R: E5/2");
    expect(notesOf(text)).toEqual([
      "1: C05 4/1 v1 s1",
      "1: E05 2/1 v2 s1",
      "1: C03 1/1 v7 s2",
      "1: G03 1/2 v7 s2",
      "2: D05 1/2 v1 s1",
    ]);
    expect(readScore(text).score.measureStarts.map(({ n, d }) => n / d)).toEqual([0, 4]);
  });

  test("one hand has one staff with its clef", () => {
    expect(picture(tinyScore("C4:1").text)).toContain("right: 28:1");
    expect(picture(tinyScore("L: C4:1").text)).toContain("left: 28:1");
  });

  test("chords, fingers, ties and grace notes", () => {
    const { score } = readScore(tinyScore('~D5:1 C4_:4+E4:"2 1"+G4:3>2 C4+E4:3?1').text);
    const notes = score.parts[0]!.notes;
    expect(notes.map(({ chord, grace, tie }) => [chord, grace !== undefined, tie.start, tie.stop])).toEqual([
      [false, true, false, false],
      [false, false, true, false],
      [true, false, false, false],
      [true, false, false, false],
      [false, false, false, true],
      [true, false, false, false],
    ]);
    expect(
      notes.map(({ fingerings }) =>
        fingerings.map(
          ({ text, substitution, alternate }) => `${text}${substitution ? "s" : ""}${alternate ? "a" : ""}`,
        ),
      ),
    ).toEqual([["1"], ["4"], ["2 1"], ["3", "2s"], [], ["3", "1a"]]);
  });

  test("marks", () => {
    const { score } = readScore(
      tinyScore(
        "C4+E4!roll C4+E4!struck D4!trill D4!tremolo D4!harmonic | D4!slide E4 F4!fermata!staccato G4!cue A4!hidden",
      ).text,
    );
    const notes = score.parts[0]!.notes;
    expect(notes.filter(({ marks }) => marks.arpeggio)).toHaveLength(2);
    expect(notes.filter(({ marks }) => marks.nonArpeggio)).toHaveLength(2);
    const of = (letter: string): object[] =>
      notes.filter(({ pitch }) => pitch.letter === letter).map(({ marks }) => marks);
    expect(of("D")).toEqual([
      { trill: true },
      { tremolo: "single" },
      { harmonic: true },
      { slideStart: true },
    ]);
    expect(of("F")).toEqual([{ fermata: true, staccato: true }]);
    expect(notes.filter(({ marks }) => marks.slideStop)).toHaveLength(1);
    expect(notes.filter(({ cue }) => cue).map(({ pitch }) => pitch.letter)).toEqual(["G"]);
    expect(notes.filter(({ printed }) => !printed).map(({ pitch }) => pitch.letter)).toEqual(["A"]);
  });

  test("brackets close in the order in which they open, and may stand alone", () => {
    expect(picture(tinyScore("(F4:2 (A4:1) G4:2)").text)).toContain("brackets: 0-1 1-2");
    expect(picture(tinyScore("(C4 D4 (E4) F4)").text)).toContain("brackets: 0-2 2-3");
    expect(picture(tinyScore("C4 {D4 E4").text)).toContain("lone: start in bar 1 at 1/2");
    expect(picture(tinyScore("C4 D4} E4").text)).toContain("lone: stop in bar 1 at 1/1");
  });

  test("the tempo is stated", () => {
    expect(readScore(tinyScore("@72 C4").text).score.tempos[0]!.quartersPerMinute).toBe(72);
    expect(readScore(tinyScore("C4").text).score.tempos[0]!.quartersPerMinute).toBe(100);
  });

  test("what is in square brackets is where a finding is expected", () => {
    expect(marked("C4:[5] [D4:1] [(]E4 F4)")).toEqual([
      '<fingering placement="above">5</fingering>',
      "<note>",
      '<bracket type="start" number="1" line-end="down"/>',
    ]);
    expect(marked("(C4 D4[)] E4[}]")).toEqual([
      '<bracket type="stop" number="1" line-end="down"/>',
      '<bracket type="stop" number="1" line-end="down"/>',
    ]);
    expect(marked("C4:1+E4:[1]+[G4] [[C4]]")).toHaveLength(4);
    expect(marked("C4:1")).toEqual([]);
  });

  test.each([
    ["H4", "cannot be read"],
    ["C4:", "a finger is missing"],
    ["C4 [D4", "a [ is not closed"],
    ["C4 D4]", "a ] has no ["],
    ["[] C4", "nothing is marked"],
    ["(C4 D4", "a ( is not closed"],
    ["C4 D4)", "a ) has no ("],
    [") C4", "a ) has no ("],
    ["C4 (", "a note is missing"],
    ["C4!bang", "!bang is not a mark"],
    ["", "there is no note"],
    ["C4/3 D4/2", "bar 1 is longer than four quarters"],
    ["C4/0.01", "cannot be written exactly"],
  ])("%j is refused", (notation, what) => {
    expect(() => tinyScore(notation)).toThrow(what);
  });
});
