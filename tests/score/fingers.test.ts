import { expect, test } from "vitest";
import { decodeScoreFile } from "../../shared/musicxml/scoreFile.ts";
import { pitchName } from "../../shared/score/pitch.ts";
import { readScore } from "../../shared/score/readScore.ts";
import { analyse } from "../../shared/service/analyse.ts";
import { fingeredText, fingerScore } from "../../shared/service/fingerScore.ts";
import { corpusFile, hasCorpus } from "../support/corpus.ts";
import { attributes, chord, note, scoreText, words } from "../support/scoreText.ts";

/** `C4:1` for each note, with what its fingering says. */
function fingers(text: string): string[] {
  return readScore(text).score.parts[0]!.notes.map(
    ({ pitch, fingerings }) =>
      `${pitchName(pitch)}:${fingerings.map((each) => `${each.text}${each.substitution ? "s" : ""}${each.alternate ? "a" : ""}`).join(",")}`,
  );
}

test("substitution and alternate are told from the main fingering", () => {
  const technical =
    '<technical><fingering>2</fingering><fingering substitution="yes">1</fingering><fingering alternate="yes">3</fingering></technical>';
  const text = scoreText({ measures: [note("C4", { notations: technical })] });
  expect(fingers(text)).toEqual(["C4:2,1s,3a"]);
  expect(analyse(text).hands[0]!.fingers).toEqual([[2]]);
});

test("fingers in several notations, and as CDATA or a reference, are read", () => {
  const notations =
    "<technical/></notations><notations><technical><fingering><![CDATA[3]]></fingering></technical>";
  expect(
    fingers(scoreText({ measures: [note("C4", { notations }), note("D4", { fingers: ["&#50;"] })] })),
  ).toEqual(["C4:3", "D4:2"]);
});

test("all fingers of a chord on its first note belong to its notes, the thumb on top", () => {
  const above = ["E4", "G4"].map((pitch) => note(pitch, { chord: true })).join("");
  const onFirst = (...list: string[]) => scoreText({ measures: [note("C4", { fingers: list }) + above] });
  // Highest first, as they are printed; but where only the other order puts the thumb on top, that one.
  expect(fingers(onFirst("1", "2", "4"))).toEqual(["C4:4", "E4:2", "G4:1"]);
  expect(fingers(onFirst("4", "2", "1"))).toEqual(["C4:4", "E4:2", "G4:1"]);
  expect(fingers(onFirst("1\n2\n3"))).toEqual(["C4:3", "E4:2", "G4:1"]);
  expect(fingers(onFirst("1", "2"))).toEqual(["C4:", "E4:2", "G4:1"]);
  expect(readScore(onFirst("1", "2", "4")).score.parts[0]!.assumptions).toEqual([
    "Chords with all their fingers on one note have them shared out, the thumb on top (measures 1).",
  ]);
});

test("fingers stay where they are when they are a chord note's own, too many, or no digits", () => {
  const both = scoreText({
    measures: [note("C4", { fingers: ["2", "3"] }) + note("E4", { fingers: ["1"], chord: true })],
  });
  expect(fingers(both)).toEqual(["C4:2,3", "E4:1"]);
  const three = scoreText({
    measures: [note("C4", { fingers: ["1", "2", "3"] }) + note("E4", { chord: true })],
  });
  expect(fingers(three)).toEqual(["C4:1,2,3", "E4:"]);
  const pattern = scoreText({ measures: [note("C4", { fingers: ["2 1"] }) + note("E4", { chord: true })] });
  expect(fingers(pattern)).toEqual(["C4:2 1", "E4:"]);
});

test("shared-out fingers are kept as printed, and move to their notes only when they change", () => {
  const shared = scoreText({
    measures: [
      attributes({ divisions: 1 }) +
        note("C4", { fingers: ["1", "2", "3"], duration: 4 }) +
        note("E4", { chord: true, duration: 4 }) +
        note("G4", { chord: true, duration: 4 }),
    ],
  });
  const analysis = analyse(shared);
  expect(analysis.hands[0]!.fingers).toEqual([[3, 2, 1]]);
  expect(fingerScore(analysis, { mode: "keep" }).edits).toEqual([]);
  expect(fingerScore(analysis, { mode: "fresh" }).edits).toEqual([]);
  const wide = shared.replace("<step>G</step><octave>4", "<step>E</step><octave>5");
  const wideAnalysis = analyse(wide);
  const fresh = fingeredText(wideAnalysis, fingerScore(wideAnalysis, { mode: "fresh" }));
  const own = readScore(fresh).score.parts[0]!.notes.map(({ fingerings }) => fingerings);
  expect(own.map((list) => list.length)).toEqual([1, 1, 1]);
  expect(own.flat().every(({ writtenOn }) => writtenOn === undefined)).toBe(true);
});

test("text that is no finger is named and left alone, also when all is fingered anew", () => {
  const text = scoreText({
    measures: [
      attributes({ divisions: 1 }) +
        note("C4", { fingers: ["simile"] }) +
        note("D4", { fingers: ["T"] }) +
        note("E4") +
        note("F4"),
    ],
  });
  const analysis = analyse(text);
  expect(analysis.assumptions.join(" ")).toContain(
    'A fingering says "simile", which is no finger; it is left alone (measures 1).',
  );
  const fresh = fingeredText(analysis, fingerScore(analysis, { mode: "fresh" }));
  expect(fingers(fresh)[0]).toBe("C4:simile");
  expect(fingers(fresh)[1]).toMatch(/^D4:[1-4]$/);
});

test("digits in words and lyrics are probable fingers", () => {
  const { probableFingerings } = readScore(
    scoreText({
      measures: [
        attributes({ divisions: 1 }) +
          words("3") +
          note("C4") +
          words("1\n2\n4", { placement: "above" }) +
          chord(["C4", "E4", "G4"]) +
          words("2", { placement: "below" }) +
          chord(["C4", "E4"]) +
          note("D4", { after: "<lyric><syllabic>single</syllabic><text>2</text></lyric>" }),
      ],
    }),
  ).score.parts[0]!;
  expect(
    probableFingerings
      .map(
        ({ source, digits, notes }) =>
          `${source} ${digits.map((digit, i) => `${pitchName(notes[i]!.pitch)}:${digit}`).join(" ")}`,
      )
      .sort(),
  ).toEqual(["lyric D4:2", "words C4:2", "words C4:3", "words G4:1 E4:2 C4:4"]);
});

test("numbers that mean something else are none", () => {
  const { probableFingerings } = readScore(
    scoreText({
      measures: [
        attributes({ divisions: 1 }) +
          words("1.") +
          words("17") +
          words("1 2") +
          `<direction><direction-type><words enclosure="rectangle">3</words></direction-type></direction>` +
          `<direction><direction-type><rehearsal>2</rehearsal></direction-type></direction>` +
          note("C4", { duration: 2, after: "<lyric><text>1. When</text></lyric>" }) +
          words("4", { offset: -1 }) +
          note("D4"),
      ],
    }),
  ).score.parts[0]!;
  expect(probableFingerings).toEqual([]);
});

test.skipIf(!hasCorpus)("fingers of real files", () => {
  const read = (path: string) => analyse(decodeScoreFile(corpusFile(path)).text, { part: "P1" });
  const kinkel = analyse(
    decodeScoreFile(corpusFile("lieder/Kinkel_Rette_Vater__dein_geliebtes_Kind__lc6249298.mxl")).text,
  );
  expect(kinkel.assumptions.join(" ")).toContain("shared out, the thumb on top (measures 15)");
  const notations = read("mx-suite/32ab-Notations3.xml");
  expect(notations.assumptions.join(" ")).toContain('A fingering says "something"');
  const substitutions = read("musicformats/Bach_Marche.xml").score.parts.flatMap(({ notes }) =>
    notes.flatMap(({ fingerings }) => fingerings.filter(({ substitution }) => substitution)),
  );
  expect(substitutions.length).toBeGreaterThan(0);
});
