import { describe, expect, test } from "vitest";
import { decodeScoreFile } from "../../shared/musicxml/scoreFile.ts";
import type { Finding } from "../../shared/rules/define.ts";
import { type Analysis, analyse, type Settings } from "../../shared/service/analyse.ts";
import { fingeredText, fingerScore } from "../../shared/service/fingerScore.ts";
import { corpusFile, hasCorpus, noCorpus } from "../support/corpus.ts";
import { Dice } from "../support/randomLines.ts";

/** Real pieces, and the part that is taken for the harp's. */
const pieces: readonly (readonly [path: string, part: string | undefined])[] = [
  ["lieder/Abrams_Crazy_Jane_lc6583907.mxl", undefined],
  ["hauptstimme/D_un_matin_de_printemps.mxl", undefined],
  ["mx/freezing.xml", undefined],
  ["lieder/Viardot_Belle_Yoli__VWV_1134_lc5988382.mxl", "P2"],
  ["lieder/Schumann_Zwei_venetianische_Lieder_II__Wenn_durch_die_Piazza__lc6969398.mxl", "P2"],
  ["lieder/Brahms_O_komme__holde_Sommernacht_lc5098705.mxl", "P2"],
];

/** A fault: the text with it, where it is, and the rules of which one must tell it, and no other. */
interface Planted {
  readonly text: string;
  readonly at: number;
  readonly rules: readonly string[];
}

type Plant = (text: string, dice: Dice) => Planted | undefined;

const digit = /<fingering\b[^>]*>([1-4])<\/fingering>/g;
const bracketStop =
  /<direction\b(?:(?!<\/direction>)[\s\S])*?<bracket type="stop"[^>]*line-end="(?:up|down)"(?:(?!<\/direction>)[\s\S])*?<\/direction>\s*/g;

function oneOf(text: string, pattern: RegExp, dice: Dice): RegExpExecArray | undefined {
  const all = [...text.matchAll(pattern)];
  return all.length === 0 ? undefined : (dice.oneOf(all) as RegExpExecArray);
}

function replaced(text: string, found: RegExpExecArray, by: string): string {
  return text.slice(0, found.index) + by + text.slice(found.index + found[0].length);
}

const plants: Readonly<Record<string, Plant>> = {
  "a digit that is no finger": (text, dice) => {
    const found = oneOf(text, digit, dice);
    return (
      found && {
        text: replaced(text, found, found[0].replace(/>[1-4]</, ">7<")),
        at: found.index,
        rules: ["finger-outside-range"],
      }
    );
  },
  "a digit left out": (text, dice) => {
    // Of a chord some print the outer fingers only: there it is no fault.
    const notes = [...text.matchAll(/<note\b[\s\S]*?<\/note>/g)];
    const alone = notes.filter(
      (note, i) =>
        !note[0].includes("<chord/>") &&
        !notes[i + 1]?.[0].includes("<chord/>") &&
        [...note[0].matchAll(digit)].length === 1,
    );
    if (alone.length === 0) return undefined;
    const note = dice.oneOf(alone);
    const without = note[0].replace(digit, "");
    return { text: replaced(text, note, without), at: note.index, rules: ["missing-finger"] };
  },
  "a bracket without its end": (text, dice) => {
    const found = oneOf(text, bracketStop, dice);
    return found && { text: replaced(text, found, ""), at: found.index, rules: ["unmatched-bracket-end"] };
  },
  "one finger for two notes of a chord": (text, dice) => {
    const chord = chordOf(text, dice);
    if (!chord) return undefined;
    const [low, high] = chord;
    return {
      text: replaced(text, high, high[0].replace(/>[1-4]</, `>${low[1]}<`)),
      at: high.index,
      rules: ["same-finger-twice-in-chord"],
    };
  },
  "two fingers of a chord changed about": (text, dice) => {
    const chord = chordOf(text, dice);
    if (!chord) return undefined;
    const [low, high] = chord;
    const swapped = replaced(text, high, high[0].replace(/>[1-4]</, `>${low[1]}<`));
    return {
      text: replaced(swapped, low, low[0].replace(/>[1-4]</, `>${high[1]}<`)),
      at: low.index,
      rules: ["fingers-against-strings"],
    };
  },
};

/** The digits of a chord's two notes, in the order of the text. */
function chordOf(text: string, dice: Dice): [RegExpExecArray, RegExpExecArray] | undefined {
  const notes = [...text.matchAll(/<note\b[\s\S]*?<\/note>/g)];
  const pairs = notes.flatMap((note, i): [RegExpExecArray, RegExpExecArray][] => {
    const before = notes[i - 1];
    const isPair =
      note[0].includes("<chord/>") &&
      before &&
      !before[0].includes("<chord/>") &&
      !notes[i + 1]?.[0].includes("<chord/>");
    if (!isPair) return [];
    const [one, other] = [before, note].map((own) => {
      const found = [...own[0].matchAll(digit)];
      if (found.length !== 1) return undefined;
      const at = own.index + found[0]!.index;
      return Object.assign([...found[0]!] as unknown as RegExpExecArray, { index: at });
    });
    return one && other && one[1] !== other[1] ? [[one, other]] : [];
  });
  return pairs.length === 0 ? undefined : dice.oneOf(pairs);
}

/** What is found, by what it says. */
function told({ findings }: Analysis): Map<string, Finding> {
  return new Map(
    findings.map((finding) => [
      `${finding.rule}, bar ${finding.bar}, beat ${finding.beat}: ${finding.message}`,
      finding,
    ]),
  );
}

describe.skipIf(!hasCorpus)(`faults planted into real pieces${hasCorpus ? "" : `: ${noCorpus}`}`, () => {
  test.each(pieces)("%s", { timeout: 300_000 }, (path, part) => {
    const { text: original } = decodeScoreFile(corpusFile(path));
    const settings: Settings = part === undefined ? {} : { part };
    const unfingered = analyse(original, settings);
    const clean = fingeredText(unfingered, fingerScore(unfingered, { mode: "fresh" }));
    const before = told(analyse(clean, settings));
    const wrong: string[] = [];
    for (const [kind, plant] of Object.entries(plants)) {
      const planted = plant(clean, new Dice(7));
      if (!planted) continue;
      const fresh = [...told(analyse(planted.text, settings))].filter(([key]) => !before.has(key));
      const barOf = (offset: number): number => planted.text.slice(0, offset).split("<measure").length;
      // A bracket without its end is told where it starts, some bars before.
      const isNear = (offset: number): boolean => [0, 1, 2].includes(barOf(planted.at) - barOf(offset));
      const own = fresh.filter(([, { rule, span }]) => planted.rules.includes(rule) && isNear(span.start));
      // That the place is now unlike where the passage comes back is true, and told at the same note.
      const others = fresh.filter(
        ([key, { rule, severity }]) =>
          !own.some(([known]) => known === key) && severity !== "info" && !rule.startsWith("passage-"),
      );
      if (own.length !== 1 || others.length > 0) {
        wrong.push(`${kind}: told ${own.length} times${others.map(([key]) => `; also ${key}`).join("")}`);
      }
    }
    expect(wrong).toEqual([]);
  });
});
