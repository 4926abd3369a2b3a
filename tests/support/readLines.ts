import { findHarp } from "../../shared/score/findHarp.ts";
import { type HandLine, handLines } from "../../shared/score/handLines.ts";
import type { HandOptions } from "../../shared/score/hands.ts";
import type { Score } from "../../shared/score/model.ts";
import { pitchName } from "../../shared/score/pitch.ts";
import { toNumber } from "../../shared/score/rational.ts";
import { readScore } from "../../shared/score/readScore.ts";
import type { Problem } from "../../shared/text/problem.ts";

/** A score read as far as the lines of the hands, and what they come to in short. */
export interface ReadLines {
  readonly score: Score;
  readonly problems: readonly Problem[];
  readonly assumptions: readonly string[];
  readonly lines: readonly HandLine[];
  /** `C4+E4@1/2` for each event: pitches, lowest first, and the onset in quarter notes. */
  readonly right: string;
  readonly left: string;
}

export function readLines(text: string, part?: string, options?: HandOptions): ReadLines {
  const { score, problems } = readScore(text);
  const harp = findHarp(score, part, options);
  const lines = handLines(score, harp);
  const short = (hand: "right" | "left"): string =>
    lines
      .find((line) => line.hand === hand)
      ?.events.map(
        ({ notes, onset }) =>
          `${notes.map(({ note }) => pitchName(note.pitch)).join("+")}@${Number(toNumber(onset).toFixed(3))}`,
      )
      .join(" ") ?? "";
  const assumptions = [...harp.assumptions, ...harp.parts.flatMap((each) => each.assumptions)];
  return { score, problems, assumptions, lines, right: short("right"), left: short("left") };
}
