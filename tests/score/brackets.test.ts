import { expect, test } from "vitest";
import { decodeScoreFile } from "../../shared/musicxml/scoreFile.ts";
import { analyse } from "../../shared/service/analyse.ts";
import { corpusFile, hasCorpus } from "../support/corpus.ts";
import { attributes, backup, bracket, direction, note, scoreText, words } from "../support/scoreText.ts";

/** The events that each bracket of the right hand spans, and how many ends are left over or something else. */
function brackets(...measures: string[]) {
  const analysis = analyse(
    scoreText({ measures: [attributes({ divisions: 2 }) + measures[0], ...measures.slice(1)] }),
  );
  const right = analysis.hands.find(({ hand }) => hand === "right")!.brackets;
  return {
    spans: right.brackets.map(({ first, last }) => `${first}-${last}`).join(" "),
    unmatched: right.unmatched.length,
    foreign: right.foreign.length,
    assumptions: analysis.assumptions,
  };
}

const up = ["C4", "D4", "E4", "F4", "G4", "A4", "B4", "C5"].map((pitch) => note(pitch));
const start = (number = 1, options = {}) => bracket("start", number, options);
const stop = (number = 1, options = {}) => bracket("stop", number, options);

test("from before the first note to after the last", () => {
  const { spans, assumptions } = brackets(start() + up[0] + up[1] + up[2] + stop() + up[3] + up[4]);
  expect(spans).toBe("0-2");
  expect(assumptions.join(" ")).not.toMatch(/bracket/i);
});

test("offsets are counted: the standard's own example starts and stops a division early", () => {
  // MusicXML 4.0, the example page of the bracket element: both ends stand after a note with an offset of −1.
  const early = { offset: -1 };
  const divisions24 = attributes({ divisions: 24 });
  const at = (pitch: string) => note(pitch, { duration: 24 });
  const { spans } = brackets(
    divisions24 + at("C4") + start(1, early) + at("D4") + at("E4") + stop(1, early) + at("F4"),
  );
  expect(spans).toBe("1-2");
});

test("a file in which stops stand before their last note is read so", () => {
  const pair = start() + note("C4") + stop() + note("G4") + note("r");
  const before = brackets(pair + pair);
  expect(before.spans).toBe("0-1 2-3");
  expect(before.assumptions).toContain(
    "Brackets of the right hand that stop at a note's onset are taken to include that note.",
  );
  // Where both readings make sense, a stop after the last note is the usual one.
  const after = brackets(
    [1, 2].map((number) => start(number) + up[0] + up[2] + stop(number) + up[4]).join(""),
  );
  expect(after.spans).toBe("0-1 3-4");
});

test("one number for brackets in a row, and for two that overlap", () => {
  expect(brackets(start() + up[0] + up[1] + stop() + start() + up[2] + up[3] + stop()).spans).toBe("0-1 2-3");
  expect(
    brackets(start() + up[0] + start() + up[1] + stop() + note("A3") + note("G3") + stop() + note("r")).spans,
  ).toBe("0-1 1-3");
});

test("an end may stand before its start in the document", () => {
  const voiceOne = note("E5", { duration: 4, voice: "1" });
  const { spans } = brackets(
    voiceOne +
      backup(2) +
      stop(1, { offset: 2 }) +
      backup(2) +
      start() +
      ["C4", "D4", "F4", "G4"].map((pitch) => note(pitch, { voice: "2" })).join(""),
  );
  expect(spans).toBe("0-3");
});

test("a stop and the next start at one instant, written in the other order", () => {
  const { spans, unmatched } = brackets(
    start() + up[0] + up[1] + start() + stop() + up[2] + up[3] + stop() + note("r"),
  );
  expect([spans, unmatched]).toEqual(["0-1 2-3", 0]);
});

test("missing ends are left over", () => {
  expect(brackets(start() + up[0] + up[1] + up[2])).toMatchObject({ spans: "", unmatched: 1 });
  expect(brackets(up[0] + up[1]! + stop() + up[2])).toMatchObject({ spans: "", unmatched: 1 });
  expect(brackets(start() + up[0] + up[1] + start() + up[2] + up[3] + stop())).toMatchObject({
    spans: "2-3",
    unmatched: 1,
  });
  expect(brackets(start() + stop() + up[0])).toMatchObject({ spans: "", unmatched: 2 });
});

test("brackets that are something else are left alone and said once", () => {
  const lines: [string, string][] = [
    [start(1, { lineEnd: "none" }), stop(1, { lineEnd: "none" })],
    [start(1, { lineEnd: "arrow" }), stop(1)],
    [direction(["<words>dolce</words>", '<bracket type="start" number="1" line-end="down"/>']), stop(1)],
  ];
  for (const [first, last] of lines) {
    const { spans, unmatched, foreign, assumptions } = brackets(first + up[0] + up[1] + last + up[2]);
    expect([spans, unmatched, foreign]).toEqual(["", 0, 2]);
    expect(
      assumptions.filter((sentence) => sentence.startsWith("Some brackets are no placings")),
    ).toHaveLength(1);
  }
  const long = Array.from({ length: 20 }, () => up[0]).join("");
  expect(brackets(start() + long + stop())).toMatchObject({ spans: "", foreign: 2 });
});

test("lines without hooks are placings where the settings say so, but not those with words or arrows", () => {
  const plain = { lineEnd: "none" };
  const read = (body: string): string => {
    const text = scoreText({ measures: [attributes({ divisions: 2 }) + body] });
    const { hands } = analyse(text, { placings: "lines" });
    return hands[0]!.brackets.brackets.map(({ first, last }) => `${first}-${last}`).join(" ");
  };
  const line = start(1, plain) + up[0] + up[1] + up[2] + stop(1, plain) + up[3];
  expect(read(line)).toBe("0-2");
  expect(brackets(line)).toMatchObject({ spans: "", foreign: 2 });
  expect(read(start() + up[0] + up[1] + stop() + start(1, plain) + up[2] + up[3] + stop(1, plain))).toBe(
    "0-1 2-3",
  );
  const arrow = { lineEnd: "arrow" };
  expect(read(start(1, arrow) + up[0] + up[1] + stop(1, arrow) + up[2])).toBe("");
  const poco = direction(["<words>poco</words>", '<bracket type="start" number="1" line-end="none"/>']);
  expect(read(poco + up[0] + up[1] + stop(1, plain) + up[2])).toBe("");
});

test("a bracket with a comment in its direction cannot go without it, and is left alone", () => {
  const remark = start().replace("<direction-type>", "<direction-type><!-- mine -->");
  expect(brackets(remark + up[0] + up[1] + stop() + up[2])).toMatchObject({ foreign: 2, unmatched: 0 });
});

test("a bracket belongs to the hand that words name", () => {
  const grand = attributes({ divisions: 2, staves: 2, clefs: ["G", "F"] });
  const upper = (pitch: string) => note(pitch, { staff: 1, duration: 2 });
  const text = scoreText({
    measures: [
      grand +
        upper("C5") +
        words("l.h.", { staff: 1 }) +
        start(1, { staff: 1 }) +
        upper("C4") +
        upper("D4") +
        stop(1, { staff: 1 }) +
        words("r.h.", { staff: 1 }) +
        upper("E5"),
    ],
  });
  const { hands } = analyse(text);
  expect(
    hands.map(({ hand, brackets: own }) => [hand, own.brackets.map(({ first, last }) => [first, last])]),
  ).toEqual([
    ["right", []],
    ["left", [[0, 1]]],
  ]);
});

test("thousands of brackets are paired in time", () => {
  const many = Array.from({ length: 20_000 }, (_, i) => start((i % 16) + 1)).join("");
  const before = process.cpuUsage();
  expect(brackets(many + up[0]).unmatched).toBe(20_000);
  expect(process.cpuUsage(before).user).toBeLessThan(20_000_000);
});

test.skipIf(!hasCorpus).each([
  ["mx/freezing.xml", "Harp RH"],
  ["lieder/Viardot_Belle_Yoli__VWV_1134_lc5988382.mxl", "P1"],
  ["lieder/Boulanger_Reflets_lc5983679.mxl", "P2"],
])("the brackets of %s are no placings", (path, part) => {
  // What they are is told by the corpus's own list: lines that join notes, lyric lines, a dotted line.
  const { hands } = analyse(decodeScoreFile(corpusFile(path)).text, { part });
  expect(hands.flatMap(({ brackets: own }) => own.brackets)).toEqual([]);
});
