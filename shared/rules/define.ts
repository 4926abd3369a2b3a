import type { PrintedAmount } from "../fingering/implied.ts";
import type { Profile } from "../fingering/profile.ts";
import type { SolutionMemory } from "../fingering/solutionMemory.ts";
import type { Weights } from "../fingering/weights.ts";
import type { CrossingStyle } from "../fingering/write.ts";
import type { WrittenHand } from "../fingering/written.ts";
import type { Stringing } from "../harp/tunings.ts";
import type { MechanismPrint } from "../mechanism/markEdits.ts";
import type { LeverPlan } from "../mechanism/mechanismOf.ts";
import type { PedalPlan } from "../mechanism/pedalPlan.ts";
import type { Permission } from "../musicxml/guard.ts";
import type { HandName, HarpChoice } from "../score/hands.ts";
import type { Note, Score } from "../score/model.ts";
import type { Edit } from "../text/edits.ts";
import type { Span } from "../text/span.ts";
import type { PrintMemory } from "./support/printMemory.ts";

/** `error`: cannot be played or is wrong in the file; `warning`: doubtful; `info`: worth knowing. */
export type Severity = "error" | "warning" | "info";

/** A kind of repair. `safe` ones keep what the editor decided and join "fix all"; `ask` ones are offered one by one. */
export interface FixKind {
  readonly title: string;
  readonly safety: "safe" | "ask";
  /** What it changes besides fingering and brackets. A safe one changes nothing else. */
  readonly permission?: Permission;
}

/** One repair. */
export interface Fix extends FixKind {
  /** Found when asked for: some need a search. Empty when nothing is to be changed. */
  edits(): readonly Edit[];
  /** What a person is told with it, in a sentence: what it costs, say. It may need the search of `edits`. */
  remark?(): string;
}

/** Another place that a finding speaks of. */
export interface RelatedPlace {
  readonly span: Span;
  readonly message: string;
}

/** What a rule says about one place. */
export interface Report {
  /**
   * The smallest element that tells the place, so that an editor underlines no more than a line: a `<fingering>` when
   * a digit is at fault, a bracket's `<bracket>` when the placing is, else the start tag of the `<note>`. See
   * support/places.ts.
   */
  readonly span: Span;
  readonly message: string;
  /** When it is not the rule's own. */
  readonly severity?: Severity;
  readonly fixes?: readonly Fix[];
  readonly related?: readonly RelatedPlace[];
  /** The event that the report is about, for bar and beat; or the note, when none of the hand's events is about it. */
  readonly at?: {
    readonly hand: WrittenHand;
    readonly event: number;
    readonly note?: Pick<Note, "measure" | "position">;
  };
  /** All that is compared, where that is music in several places: a mark that it is intended holds for these notes. */
  readonly places?: readonly FindingPlace[];
  /** The events of that hand that it is about, both ends included, when they are more than `at`. */
  readonly over?: { readonly first: number; readonly last: number };
}

/** Events of one hand, both ends included. */
export interface FindingPlace {
  readonly hand: HandName;
  readonly first: number;
  readonly last: number;
}

/** What a rule looks at. */
export interface RuleInput {
  readonly text: string;
  readonly score: Score;
  readonly harp: HarpChoice;
  readonly hands: readonly WrittenHand[];
  readonly weights: Weights;
  /** How many fingers are printed: that is what makes one missing. */
  readonly printedAmount?: PrintedAmount;
  /** How a fix prints crossings. */
  readonly crossingStyle?: CrossingStyle;
  /** The harp that is played, and how it is tuned; undefined when nobody said. */
  readonly instrument?: Stringing;
  /** What its levers have to do; undefined unless it is a lever harp with a known tuning. */
  readonly levers?: LeverPlan;
  /** What its pedals have to do; undefined unless it is a pedal harp. */
  readonly pedals?: PedalPlan;
  /** How a fix writes marks of pedals and levers. */
  readonly mechanismPrint?: MechanismPrint;
  /** The tempo that a person gave for a score that states none, in quarter notes a minute. */
  readonly tempo?: number;
  /** What was found for stretches of this music before, in this reading or an earlier one. */
  readonly solutions?: SolutionMemory;
  /** The same by what is printed: it takes less to ask. */
  readonly printMemory?: PrintMemory;
}

/** One check. Its id names the problem, in kebab-case; its file has the same name in camelCase. */
export interface Rule {
  readonly id: string;
  readonly severity: Severity;
  /** One sentence: what is reported. */
  readonly summary: string;
  /** One or two sentences: why it matters to a player. */
  readonly why: string;
  /** In the short notation of the tests; reports once. */
  readonly bad: string;
  /** The same music as it should be; reports nothing. */
  readonly good: string;
  /** What has to be known for the examples: the harp, the player. */
  readonly given?: Given;
  /** The repairs that come with its findings; empty when the music itself has to change. */
  readonly fixes: readonly FixKind[];
  /**
   * It weighs a fingering as a whole, and keeps quiet where another rule has named what is wrong: a cause is told once.
   */
  readonly general?: true;
  check(input: RuleInput, report: (report: Report) => void): void;
}

/** Settings of an example. */
export interface Given {
  /** After the example, in brackets: `on a 22-string lap harp`. */
  readonly words: string;
  readonly instrument?: Stringing;
  readonly profile?: Profile;
}

export function defineRule(rule: Rule): Rule {
  return rule;
}

/** What a check found, ready to be shown. */
export interface Finding {
  readonly rule: string;
  readonly severity: Severity;
  readonly message: string;
  readonly span: Span;
  readonly related: readonly RelatedPlace[];
  readonly fixes: readonly Fix[];
  /** The events that it is about. */
  readonly places: readonly FindingPlace[];
  readonly part: string | undefined;
  readonly hand: "right" | "left" | undefined;
  /** The measure's number as printed. */
  readonly bar: string | undefined;
  /** In quarter notes from 1: `1`, `5/2`. */
  readonly beat: string | undefined;
}
