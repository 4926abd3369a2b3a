import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { corpusFiles } from "../support/corpus.ts";
import { attributes, backup, bracket, chord, note, scoreText, words } from "../support/scoreText.ts";

/** A file to start from. */
export interface Seed {
  readonly name: string;
  readonly bytes: Uint8Array;
}

const demo = join(import.meta.dirname, "../../fixtures/demo");

/** A score of a few notes that holds a little of everything. */
const small = scoreText({
  measures: [
    attributes({ divisions: 4, staves: 2, clefs: ["G", "F"] }) +
      bracket("start", 1, { staff: 1 }) +
      chord(["C5", "E5"], { staff: 1, duration: 4, fingers: ["2"] }) +
      note("G5", { staff: 1, duration: 4, tie: "start", fingers: ["1"] }) +
      bracket("stop", 1, { staff: 1 }) +
      `<!-- a remark --><?x y?>` +
      backup(8) +
      words("l.h.", { staff: 2 }) +
      note("C3", { staff: 2, voice: "5", duration: 3, fingers: ["4"] }) +
      note("D3", { staff: 2, voice: "5", grace: "" }) +
      note("E3", { staff: 2, voice: "5", duration: 5, notations: "<technical/><fermata/>" }),
    `<barline location="left"><repeat direction="forward"/></barline>` +
      note("G5", { staff: 1, duration: 4, tie: "stop", after: "<lyric><text>1</text></lyric>" }) +
      note("r", { staff: 1, duration: 4 }) +
      backup(8) +
      note("F3", {
        staff: 2,
        voice: "5",
        duration: 8,
        notations: "<arpeggiate/><technical><![CDATA[ ]]></technical>",
      }) +
      `<barline location="right"><repeat direction="backward"/></barline>`,
  ],
});

/** The demo pieces, a small score, and the corpus files up to a size where the corpus is there. */
export function seeds(mostBytes: number): Seed[] {
  const demos = readdirSync(demo)
    .sort()
    .map((name) => ({ name, bytes: new Uint8Array(readFileSync(join(demo, name))) }));
  const own = [
    { name: "small", bytes: new Uint8Array(Buffer.from(small)) },
    { name: "small, one line", bytes: new Uint8Array(Buffer.from(small.replaceAll("\n", ""))) },
    { name: "small, indented", bytes: new Uint8Array(Buffer.from(small.replaceAll("><", ">\r\n\t<"))) },
  ];
  const real = corpusFiles().map(({ path, bytes }) => ({ name: path, bytes: bytes() }));
  return [...own, ...[...demos, ...real].filter(({ bytes }) => bytes.length <= mostBytes)];
}
