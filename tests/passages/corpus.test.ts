import { existsSync, readFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { strFromU8, unzipSync } from "fflate";
import { describe, expect, test } from "vitest";
import { listing, passagesOf } from "./listing.ts";

const corpus = fileURLToPath(new URL("../../../shared/corpus/", import.meta.url));

interface Piece {
  readonly file: string;
  readonly part?: string;
  /** What a musician reads in the score as the same passage, bars as printed. */
  readonly expected: readonly (string | RegExp)[];
}

/** Read in the scores by a musician, then looked for here: forms, sequences, accompaniments, hands in octaves. */
const pieces: readonly Piece[] = [
  {
    // A theme of eight bars, eight bars of sequences, the theme again.
    file: "partitura/mozart_k265_var1.musicxml",
    expected: [
      "exact right 1:1-8:1 17:1-24:1",
      "exact left 1:1-8:2 17:1-24:2",
      "shifted right 4:1-4:11/4 5:1-5:11/4-1 6:1-6:11/4-2 20:1-20:11/4 21:1-21:11/4-1 22:1-22:11/4-2",
      "shifted right 9:1-9:11/4 10:1-10:11/4-1 11:1-11:11/4-2 12:1-12:11/4-3",
    ],
  },
  {
    // The running notes go from hand to hand.
    file: "partitura/mozart_k265_6.mxl",
    expected: [
      "exact left 1:1-8:2 17:1-24:2",
      "exact right 1:2-8:1 17:2-24:1",
      "otherHand l1:1-3:3/2 r13:1-15:3/2+11 l17:1-19:3/2",
    ],
  },
  {
    // Both hands an octave apart, a figure for sixteen bars, four bars that come back with two other notes.
    file: "hauptstimme/D_un_matin_de_printemps.mxl",
    expected: [
      /^otherHand r42:2-45:3 l42:2-45:3-7$/,
      /^otherHand r133:3\/2-136:3 l133:3\/2-136:3-7$/,
      /^near left 82:1-85:7\/2 86:1-89:7\/2\(ss\)$/,
      /^exact right 113:1-113:7\/2 114:1-114:7\/2( \S+){14}$/,
      /^exact right 138:1-139:3 140:1-141:3$/,
    ],
  },
  {
    // Three verses on one accompaniment.
    file: "lieder/Abrams_Crazy_Jane_lc6583907.mxl",
    expected: [
      /^near left 0:\S+-16:\S+ X2:/,
      /^near right 8:1-13:7\/2 24:1-29:7\/2/,
      /^exact left 13:5\/2-21:3 29:5\/2-37:3$/,
    ],
  },
  {
    // The beginning comes back at the end, the middle in its middle.
    file: "lieder/Lang_Wiegenlied_lc6117412.mxl",
    part: "Pianoforte",
    expected: [
      /^near left 1:1-11:\d 111:1-121:\d\(s\)$/,
      /^near right 1:2-10:7\/2 111:2-121:7\/2\(sa\)$/,
      /^near right 28:1-38:1 81:1-91:1/,
      /^near left 25:2-39:1 78:2-92:1\(s+\)$/,
      /^shifted left 28:1-29:7\/2 30:1-31:7\/2-7 54:1-55:7\/2/,
    ],
  },
];

const listed = new Map<string, readonly string[]>();

function listingOf(file: string, part?: string): readonly string[] {
  const known = listed.get(file) ?? listing(passagesOf(textOf(file), part));
  listed.set(file, known);
  return known;
}

function textOf(file: string): string {
  const bytes = readFileSync(`${corpus}${file}`);
  if (!file.endsWith(".mxl")) return bytes.toString("utf8");
  const entries = unzipSync(bytes);
  const name = Object.keys(entries).find((entry) => /^[^/]*\.(musicxml|xml)$/.test(entry))!;
  return strFromU8(entries[name]!);
}

describe.each(pieces)("$file", ({ file, part, expected }) => {
  test.for(expected)("%s", (line, context) => {
    if (!existsSync(`${corpus}${file}`)) return context.skip(`${file} is not here`);
    const found = listingOf(file, part);
    if (typeof line === "string") expect(found).toContain(line);
    else expect(found.filter((one) => line.test(one))).toHaveLength(1);
  });
});
