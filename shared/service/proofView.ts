import type { Finding, Severity } from "../rules/define.ts";
import { gather } from "../rules/gather.ts";
import type { HouseRulePage } from "../rules/house.ts";
import { rules } from "../rules/registry.ts";
import type { HandName } from "../score/hands.ts";
import type { Note } from "../score/model.ts";
import type { Span } from "../text/span.ts";
import type { Analysis } from "./analyse.ts";
import { type HarpDemands, harpDemands } from "./harpDemands.ts";
import { type LevelFacts, levelFacts } from "./level.ts";
import { type PassageMap, passageMap } from "./passageMap.ts";
import { type PrintedMusic, printedMusic } from "./printedMusic.ts";

/** A score as a proof on paper shows it. */
export interface ProofView {
  /** The score's title; may be empty. */
  readonly title: string;
  readonly music: PrintedMusic;
  /** In the order of the score. */
  readonly findings: readonly ProofFinding[];
  /** Why it matters, for each rule that has found something, in the order of the findings. */
  readonly whys: readonly { readonly rule: string; readonly why: string }[];
  readonly accepted: readonly AcceptedOnProof[];
  readonly passages: PassageMap;
  readonly level: LevelFacts | undefined;
  /** What the levers or pedals have to do; undefined where the settings name no harp, or no tuning of its levers. */
  readonly harp: HarpDemands | undefined;
  readonly problems: Analysis["problems"];
  readonly assumptions: readonly string[];
}

/** A finding with the number that stands at its notes. */
export interface ProofFinding {
  /** From 1. */
  readonly number: number;
  readonly rule: string;
  readonly severity: Severity;
  readonly message: string;
  readonly bar: string | undefined;
  readonly beat: string | undefined;
  readonly hand: HandName | undefined;
  /** Ids of the notes that it is about in the engraved copy. */
  readonly notes: readonly string[];
  /** Bars of other places that it speaks of. */
  readonly otherBars: readonly string[];
}

/** Something that was found and is meant to be so. */
export interface AcceptedOnProof {
  readonly rule: string;
  readonly bar: string | undefined;
  readonly hand: HandName | undefined;
  readonly message: string;
  readonly reason: string;
}

/**
 * Lays out what a proofreader reads beside a score.
 * @param houseRules what the rules are whose findings the settings of the analysis hold.
 * @throws InputError when there is no harp part.
 */
export function proofView(
  analysis: Analysis,
  houseRules: readonly Pick<HouseRulePage, "id" | "why">[] = [],
): ProofView {
  const music = printedMusic(analysis);
  const places = new NotePlaces(analysis);
  const gathered = gather(analysis.findings);
  const findings = gathered.map((finding, i): ProofFinding => {
    const { rule, severity, message, bar, beat, hand } = finding;
    const notes = places.at(finding.span).map((note) => music.ids.note(note));
    return {
      number: i + 1,
      rule,
      severity,
      message,
      bar,
      beat,
      hand,
      notes,
      otherBars: places.others(finding),
    };
  });
  const found = new Set(findings.map(({ rule }) => rule));
  return {
    title: analysis.score.title.trim(),
    music,
    findings,
    whys: [...found].flatMap((id) => {
      const rule = [...rules, ...houseRules].find((each) => each.id === id);
      return rule ? [{ rule: id, why: rule.why }] : [];
    }),
    accepted: analysis.accepted.map(({ finding, entry }) => ({
      rule: finding.rule,
      bar: finding.bar,
      hand: finding.hand,
      message: finding.message,
      reason: entry.reason,
    })),
    passages: passageMap(analysis),
    level: levelFacts(analysis),
    harp: harpDemands(analysis),
    problems: analysis.problems,
    assumptions: analysis.assumptions,
  };
}

/** Which notes stand at a place of the text. */
class NotePlaces {
  /** In the order of the text. */
  readonly #notes: readonly Note[];

  constructor({ harp }: Analysis) {
    this.#notes = (harp?.parts ?? [])
      .flatMap(({ notes }) => notes)
      .sort((a, b) => a.site.span.start - b.site.span.start);
  }

  /** The notes that a place lies in; for a place between notes, a bracket's say, the note after it. */
  at(place: Span): readonly Note[] {
    const inside = this.#notes.filter(
      ({ site: { span } }) => span.start < place.end && place.start < span.end,
    );
    if (inside.length > 0) return inside;
    const next = this.#notes.find(({ site: { span } }) => span.start >= place.end);
    return next ? [next] : [];
  }

  others({ related, bar }: Finding): string[] {
    const bars = related.flatMap(({ span }) => this.at(span).map(({ measure }) => measure.number));
    return [...new Set(bars)].filter((other) => other !== bar);
  }
}
