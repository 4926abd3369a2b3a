import { describe, expect, test } from "vitest";
import { compareEditions } from "../../shared/editions/compareEditions.ts";
import type { EditionBracket, EditionComparison } from "../../shared/editions/model.ts";
import { decodeScoreFile } from "../../shared/musicxml/scoreFile.ts";
import { analyse } from "../../shared/service/analyse.ts";
import { renumberedWords, toldChanges } from "../../shared/service/editionWords.ts";
import { fingeredText, fingerScore } from "../../shared/service/fingerScore.ts";
import { corpusFiles, hasCorpus, noCorpus } from "../support/corpus.ts";
import { demoText } from "../support/demo.ts";
import { type Done, editedEdition } from "../support/editedEdition.ts";
import { Dice } from "../support/randomLines.ts";
import { reserialised } from "../support/reserialised.ts";
import { tinyScore } from "../support/tinyScore.ts";

function compared(old: string, now: string): EditionComparison {
  const [a, b] = [analyse(old), analyse(now)];
  return compareEditions({ harp: a.harp!, hands: a.hands }, { harp: b.harp!, hands: b.hands });
}

/** Each change as it is said. */
function told(old: string, now: string): string[] {
  return toldChanges(compared(old, now)).map(({ where, what }) => `${where}: ${what}`);
}

/** What was found, in the words in which it was done. */
function found({ changes }: EditionComparison): Done {
  const result: Done = { fingers: [], brackets: [], notes: [], inserted: 0, removed: 0 };
  const extent = (bracket: EditionBracket | undefined): string =>
    bracket
      ? `${bracket.first.hand} ${bracket.firstNotes.join("+")} to ${bracket.lastNotes.join("+")}`
      : "none";
  for (const change of changes) {
    if (change.kind === "fingers") {
      for (const { pitch, old, new: now } of change.notes) {
        if (old !== now) result.fingers.push(`${change.new.hand} ${pitch} ${old}>${now}`);
      }
    } else if (change.kind === "bracket") {
      result.brackets.push(`${extent(change.old)} > ${extent(change.new)}`);
    } else if (change.kind === "notes") {
      result.notes.push(`${change.new!.hand} ${change.removed.join()}>${change.added.join()}`);
    } else if (change.kind === "bars") {
      if (change.edition === "new") result.inserted += change.measures.length;
      else result.removed += change.measures.length;
    } else throw new Error("no hand was changed");
  }
  return result;
}

function inOrder({ fingers, brackets, notes, inserted, removed }: Done): Done {
  return { fingers: fingers.sort(), brackets: brackets.sort(), notes: notes.sort(), inserted, removed };
}

describe("in words", () => {
  const old = "(C4:4 D4:3 E4:2) F4:1";

  test.each([
    ["(C4:4 D4:3 E4:2) F4:2", ["bar 1, right hand, beat 5/2: 2 instead of 1 on F4"]],
    ["(C4:3 D4:2 E4:1) F4:1", ["bar 1, right hand, beat 1: 3 2 1 instead of 4 3 2"]],
    ["(C4 D4:3 E4:2) F4:1", ["bar 1, right hand, beat 1: C4 has no finger, and had 4"]],
    ["(C4:4 D4:3 E4:2 F4:1)", ["bar 1, right hand, beat 1: bracket now ends on F4 instead of E4"]],
    ["C4:4 (D4:3 E4:2) F4:1", ["bar 1, right hand, beat 3/2: bracket now starts on D4 instead of C4"]],
    ["C4:4 D4:3 E4:2 F4:1", ["bar 1, right hand, beat 1: no bracket from C4 to E4 any more"]],
    ["(C4:4 D4:3 E4:2) G4:1", ["bar 1, right hand, beat 5/2: G4 instead of F4"]],
    ["(C4:4 D4:3 E4:2) F4+A4:1", ["bar 1, right hand, beat 5/2: A4 is new"]],
  ])("%s", (now, words) => {
    const [first] = told(tinyScore(old).text, tinyScore(now).text);
    expect(first).toBe(words[0]);
  });

  test("bars that were put in say where, and bars after them by which number they go now", () => {
    const bar = (number: number, step: string, finger: number): string =>
      `<measure number="${number}">${number === 1 ? "<attributes><divisions>1</divisions></attributes>" : ""}<note><pitch><step>${step}</step><octave>4</octave></pitch><duration>4</duration><voice>1</voice><notations><technical><fingering>${finger}</fingering></technical></notations></note></measure>`;
    const score = (bars: string): string =>
      `<score-partwise version="4.0"><part-list><score-part id="P1"><part-name>Harp</part-name></score-part></part-list><part id="P1">${bars}</part></score-partwise>`;
    const before = score(bar(1, "C", 1) + bar(2, "D", 2) + bar(3, "E", 3));
    const after = score(bar(1, "C", 1) + bar(2, "G", 4) + bar(3, "D", 2) + bar(4, "E", 1));
    expect(told(before, after)).toEqual([
      "bar 2: is new, after bar 1 (1 note)",
      "bar 4 (3 before), right hand, beat 1: 1 instead of 3 on E4",
    ]);
    expect(renumberedWords(compared(before, after))).toEqual(["bars 2 to 3 are 3 to 4 now"]);
    expect(told(after, before)[0]).toBe("bar 2: is gone, after bar 1 (1 note)");
  });
});

describe("what was done to a score is found, and nothing else", () => {
  const demos = ["lantern-waltz", "evening-tide"] as const;
  const seeds = [1, 2, 3, 4, 5, 6, 7, 8];

  test.each(demos)("%s: another program's export is no change", (name) => {
    const { changes, renumbered } = compared(demoText(name), reserialised(demoText(name)));
    expect(changes).toEqual([]);
    expect(renumbered.length).toBeGreaterThan(10);
  });

  const pairs = demos.flatMap((name) => seeds.map((seed) => [name, seed] as const));
  test.each(pairs)("%s, edition %i", (name, seed) => {
    const old = demoText(name);
    const { text, done } = editedEdition(old, new Dice(seed));
    const all = done.fingers.length + done.brackets.length + done.inserted + done.removed + done.notes.length;
    expect(all).toBeGreaterThan(3);
    expect(inOrder(found(compared(old, text)))).toEqual(inOrder(done));
    // Written anew by another program as well, and told from the other side.
    expect(inOrder(found(compared(old, reserialised(text))))).toEqual(inOrder(done));
    const back = found(compared(text, old));
    expect([back.inserted, back.removed, back.fingers.length, back.brackets.length]).toEqual([
      done.removed,
      done.inserted,
      done.fingers.length,
      done.brackets.length,
    ]);
  });

  test.skipIf(!hasCorpus)(`real pieces, fingered (${noCorpus} when skipped)`, () => {
    let pieces = 0;
    let changes = 0;
    for (const file of corpusFiles()) {
      if (pieces === 6) break;
      if (!/\.(xml|musicxml|mxl)$/.test(file.path) || file.bytes().length > 150_000) continue;
      const { text } = decodeScoreFile(file.bytes());
      if (text.length > 600_000) continue;
      const analysis = analyse(text);
      const { harp, problems, score } = analysis;
      if (!harp || score.parts.length !== 1 || problems.length > 0 || score.layout !== "partwise") continue;
      if (harp.parts[0]!.measures.length < 12 || analysis.hands.length < 2) continue;
      let old: string;
      try {
        old = fingeredText(analysis, fingerScore(analysis, { mode: "keep", alike: false }));
      } catch {
        continue;
      }
      pieces += 1;
      for (const seed of [1, 2]) {
        const { text: now, done } = editedEdition(old, new Dice(seed));
        expect(inOrder(found(compared(old, now))), `${file.path}, ${seed}`).toEqual(inOrder(done));
        changes += done.fingers.length + done.brackets.length + done.inserted + done.removed;
      }
    }
    expect(pieces).toBeGreaterThan(3);
    expect(changes).toBeGreaterThan(50);
  });
});

test("two thousand bars, each printed otherwise, are compared within a bound of work", () => {
  const bars = Array.from({ length: 2000 }, (_, i) => "CDEFGAB"[(i * i + (i >> 3)) % 7]!);
  const score = (shift: number, bar: readonly string[]): string =>
    `<score-partwise version="4.0"><part-list><score-part id="P1"><part-name>Harp</part-name></score-part></part-list><part id="P1">${bar
      .map(
        (step, i) =>
          `<measure number="${i + 1}">${i === 0 ? "<attributes><divisions>1</divisions></attributes>" : ""}<note><pitch><step>${step}</step><octave>4</octave></pitch><duration>4</duration><voice>1</voice><notations><technical><fingering>${((i + shift) % 4) + 1}</fingering></technical></notations></note></measure>`,
      )
      .join("")}</part></score-partwise>`;
  const { pairs, changes } = compared(score(0, bars), score(1, bars.toSpliced(700, 2)));
  expect(pairs).toHaveLength(2000);
  expect(changes.filter(({ kind }) => kind === "bars")).toHaveLength(1);
});
