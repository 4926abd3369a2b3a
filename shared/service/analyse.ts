import { type Profile, weightsFor } from "../fingering/profile.ts";
import type { Weights } from "../fingering/weights.ts";
import type { CrossingStyle } from "../fingering/write.ts";
import { aboutFingers, type WrittenHand, writtenHand } from "../fingering/written.ts";
import type { Stringing } from "../harp/tunings.ts";
import { type LeverPlan, leversOf, pedalsOf, withLeversMoved } from "../mechanism/mechanismOf.ts";
import type { PedalPlan } from "../mechanism/pedalPlan.ts";
import { usePassageMemory } from "../passages/passagesOfHands.ts";
import type { Finding, RuleInput } from "../rules/define.ts";
import { fromHouse, isHouseId } from "../rules/house.ts";
import { rules } from "../rules/registry.ts";
import { runRules } from "../rules/runRules.ts";
import { aboutBrackets, readBrackets } from "../score/brackets.ts";
import { findHarp } from "../score/findHarp.ts";
import { handLines } from "../score/handLines.ts";
import type { HarpChoice } from "../score/hands.ts";
import type { Score } from "../score/model.ts";
import { readScore } from "../score/readScore.ts";
import { defaultTempo, Timeline } from "../score/timeline.ts";
import { LineIndex } from "../text/lineIndex.ts";
import { InputError, type Problem } from "../text/problem.ts";
import type { ReadEntry } from "./acceptedFile.ts";
import { type SortedFindings, sortAccepted } from "./acceptFindings.ts";
import { AnalysisMemory } from "./analysisMemory.ts";
import { playerOf, type Settings } from "./settings.ts";

export type { Settings } from "./settings.ts";

/** A score as read, with everything that was found in it. */
export interface Analysis {
  readonly text: string;
  readonly lines: LineIndex;
  readonly score: Score;
  readonly problems: readonly Problem[];
  readonly harp: HarpChoice | undefined;
  readonly hands: readonly WrittenHand[];
  readonly settings: Settings;
  /** Who plays. */
  readonly profile: Profile;
  /** The harp that is played, and how it is tuned; undefined when nobody said. */
  readonly instrument: Stringing | undefined;
  /** What the levers have to do; undefined when no lever harp with its tuning is chosen. */
  readonly levers?: LeverPlan;
  /** What the pedals have to do; undefined when no pedal harp is chosen. */
  readonly pedals?: PedalPlan;
  readonly weights: Weights;
  /** How crossings are printed. */
  readonly crossingStyle: CrossingStyle | undefined;
  /** What the rules found; they run when this is first asked for. */
  readonly findings: readonly Finding[];
  /** What was found as well, and is meant to be as it is. */
  readonly accepted: SortedFindings<ReadEntry>["accepted"];
  /** What the settings accept and nothing of the kind was found. */
  readonly unmatched: readonly ReadEntry[];
  /** What was taken for granted, in sentences. */
  readonly assumptions: readonly string[];
  /** What this reading and those before it found, for those after it. */
  readonly memory: AnalysisMemory;
}

/**
 * Reads a score and checks it. Never throws for a broken text: what could not be read is in `problems`. A text that
 * is not well-formed, or has no harp part, has no findings.
 * @param memory what earlier readings of nearly the same text found, to be used and added to.
 */
export function analyse(text: string, settings: Settings = {}, memory = new AnalysisMemory()): Analysis {
  const { score, problems } = readScore(text);
  const profile = playerOf(settings);
  const base = {
    text,
    lines: new LineIndex(text),
    score,
    settings,
    profile,
    instrument: settings.instrument,
    weights: settings.weights ?? weightsFor(profile),
    crossingStyle: settings.print?.crossings,
    memory,
  };
  if (!score.wellFormed)
    return { ...base, ...nothingFound, problems, harp: undefined, hands: [], assumptions: [] };
  let harp: HarpChoice;
  try {
    harp = findHarp(score, settings.part, settings.hands);
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    const problem: Problem = { severity: "error", message: error.message, span: { start: 0, end: 0 } };
    return {
      ...base,
      problems: [problem, ...problems],
      harp: undefined,
      hands: [],
      ...nothingFound,
      assumptions: [],
    };
  }
  const tempo = settings.tempo ?? defaultTempo;
  const timeline = new Timeline(score, tempo);
  const lines = handLines(score, harp, timeline);
  const brackets = readBrackets(score, harp, lines, settings.placings === "lines");
  const written = lines.map((line, i) => writtenHand(line, brackets[i]!));
  const levers = leversOf(score, written, timeline, base.instrument, base.weights);
  const hands = levers ? withLeversMoved(written, levers) : written;
  const pedals = pedalsOf(score, written, timeline, base.instrument);
  const assumptions = [
    ...harp.assumptions,
    ...harp.parts.flatMap((part) => part.assumptions),
    ...aboutBrackets(brackets),
    ...aboutFingers(hands),
  ];
  if (!timeline.stated) {
    assumptions.push(`The score states no tempo: ${tempo} quarter notes a minute are assumed.`);
  }
  usePassageMemory(hands, memory.passages);
  const { weights, crossingStyle, instrument } = base;
  const { solutions, print: printMemory } = memory;
  const read = { text, score, harp, hands, weights, crossingStyle, instrument };
  const input = ruleInput({ ...read, solutions, printMemory, levers, pedals }, settings);
  let found: SortedFindings<ReadEntry> | undefined;
  const sorted = (): SortedFindings<ReadEntry> => {
    found ??= sortAccepted(input, findingsOf(input, settings), entriesOf(settings));
    return found;
  };
  return {
    ...base,
    problems,
    harp,
    hands,
    levers,
    pedals,
    get findings() {
      return sorted().findings;
    },
    get accepted() {
      return sorted().accepted;
    },
    get unmatched() {
      return sorted().unmatched;
    },
    assumptions,
  };
}

/** What rules look at in a score that was read; undefined when no harp was found in it. */
export function ruleInputOf(analysis: Analysis): RuleInput | undefined {
  const { text, score, harp, hands, weights, crossingStyle, instrument, levers, pedals, memory } = analysis;
  if (!harp) return undefined;
  const read = { text, score, harp, hands, weights, crossingStyle, instrument, levers, pedals };
  return ruleInput({ ...read, solutions: memory.solutions, printMemory: memory.print }, analysis.settings);
}

function ruleInput(
  read: Omit<RuleInput, "tempo" | "printedAmount" | "mechanismPrint">,
  settings: Settings,
): RuleInput {
  const { tempo, print } = settings;
  return { ...read, tempo, printedAmount: print?.fingers, mechanismPrint: print };
}

function findingsOf(input: RuleInput, settings: Settings): Finding[] {
  const isWanted = (id: string): boolean => settings.severity?.[id] !== "off";
  const found = runRules(
    input,
    rules.filter(({ id }) => isWanted(id)),
  );
  const ofHouse = (settings.house ?? []).filter(({ rule }) => isWanted(rule));
  const all =
    ofHouse.length === 0
      ? found
      : inTextOrder(
          found,
          ofHouse.map((each) => fromHouse(each, input.hands)),
        );
  return all.map((finding) => withSeverity(finding, settings));
}

function inTextOrder(found: readonly Finding[], more: readonly Finding[]): Finding[] {
  return [...found, ...more].sort((a, b) => a.span.start - b.span.start || a.span.end - b.span.end);
}

const nothingFound: SortedFindings<ReadEntry> = { findings: [], accepted: [], unmatched: [] };

/** The entries of rules that are in use: what nobody looks for is not missed. */
function entriesOf({ accepted = [], severity, house }: Settings): readonly ReadEntry[] {
  return accepted.filter(
    ({ rule }) => severity?.[rule] !== "off" && (house !== undefined || !isHouseId(rule)),
  );
}

function withSeverity(finding: Finding, { severity }: Settings): Finding {
  const wanted = severity?.[finding.rule];
  return wanted === undefined || wanted === "off" ? finding : { ...finding, severity: wanted };
}
