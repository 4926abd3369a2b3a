import { defaultWeights, type Weights } from "../fingering/weights.ts";
import { type WrittenHand, writtenHand } from "../fingering/written.ts";
import type { Finding } from "../rules/define.ts";
import { rules } from "../rules/registry.ts";
import { runRules } from "../rules/runRules.ts";
import { readBrackets } from "../score/brackets.ts";
import { findHarp } from "../score/findHarp.ts";
import { handLines } from "../score/handLines.ts";
import type { HarpChoice } from "../score/hands.ts";
import type { Score } from "../score/model.ts";
import { readScore } from "../score/readScore.ts";
import { defaultTempo, Timeline } from "../score/timeline.ts";
import { LineIndex } from "../text/lineIndex.ts";
import { InputError, type Problem } from "../text/problem.ts";

/** What a person chose; everything has a default. */
export interface Settings {
  /** Id or name of the harp's part. */
  readonly part?: string;
  readonly weights?: Weights;
}

/** A score as read, with everything that was found in it. */
export interface Analysis {
  readonly text: string;
  readonly lines: LineIndex;
  readonly score: Score;
  readonly problems: readonly Problem[];
  readonly harp: HarpChoice | undefined;
  readonly hands: readonly WrittenHand[];
  readonly weights: Weights;
  readonly findings: readonly Finding[];
  /** What was taken for granted, in sentences. */
  readonly assumptions: readonly string[];
}

/**
 * Reads a score and checks it. Never throws for a broken text: what could not be read is in `problems`. A text that
 * is not well-formed, or has no harp part, has no findings.
 */
export function analyse(text: string, settings: Settings = {}): Analysis {
  const { score, problems } = readScore(text);
  const base = { text, lines: new LineIndex(text), score, weights: settings.weights ?? defaultWeights };
  if (!score.wellFormed)
    return { ...base, problems, harp: undefined, hands: [], findings: [], assumptions: [] };
  let harp: HarpChoice;
  try {
    harp = findHarp(score, settings.part);
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    const problem: Problem = { severity: "error", message: error.message, span: { start: 0, end: 0 } };
    return {
      ...base,
      problems: [problem, ...problems],
      harp: undefined,
      hands: [],
      findings: [],
      assumptions: [],
    };
  }
  const timeline = new Timeline(score);
  const lines = handLines(score, harp, timeline);
  const brackets = readBrackets(score, harp, lines);
  const hands = lines.map((line, i) => writtenHand(line, brackets[i]!));
  const assumptions = [...harp.assumptions];
  if (!timeline.stated) {
    assumptions.push(`The score states no tempo: ${defaultTempo} quarter notes a minute are assumed.`);
  }
  const findings = runRules({ text, score, harp, hands, weights: base.weights }, rules);
  return { ...base, problems, harp, hands, findings, assumptions };
}
