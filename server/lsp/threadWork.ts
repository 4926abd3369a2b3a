import { isMainThread, parentPort, workerData } from "node:worker_threads";
import type { Solution } from "../../shared/fingering/model.ts";
import { guardedText, type Permission } from "../../shared/musicxml/guard.ts";
import type { FingerMode, FingerScope } from "../../shared/protocol/commands.ts";
import type { Finding } from "../../shared/rules/define.ts";
import { gather } from "../../shared/rules/gather.ts";
import type { ReadEntry } from "../../shared/service/acceptedFile.ts";
import { type Analysis, analyse, type Settings } from "../../shared/service/analyse.ts";
import { AnalysisMemory } from "../../shared/service/analysisMemory.ts";
import { fingerAt } from "../../shared/service/fingerAt.ts";
import { type FixChoice, fixAll } from "../../shared/service/fixAll.ts";
import { proposals } from "../../shared/service/proposal.ts";
import type { Edit } from "../../shared/text/edits.ts";
import { InputError, type Problem } from "../../shared/text/problem.ts";
import { FoundTexts } from "./foundTexts.ts";
import { WarmUp } from "./warmUp.ts";

/** What is found in a text, without the repairs: those are found when they are asked for. */
export interface Found {
  readonly problems: readonly Problem[];
  readonly findings: readonly Omit<Finding, "fixes">[];
  /** What was accepted, and nothing of the kind was found. */
  readonly unmatched: readonly ReadEntry[];
}

/** A text as an editor has it, with the settings that count for it. */
export interface ScoreText {
  readonly uri: string;
  readonly text: string;
  readonly settings: Settings;
}

/** Long work: what is found in a text, or the edits that a command asks for. */
export type Work =
  | { readonly does: "find" }
  | { readonly does: "propose" }
  | {
      readonly does: "finger";
      readonly offset: number;
      readonly scope: FingerScope;
      readonly mode: FingerMode;
    }
  | { readonly does: "fixAll"; readonly choice: FixChoice }
  | { readonly does: "fix"; readonly finding: number; readonly fix: number };

/** Work that ends in edits. */
export type EditingWork = Exclude<Work, { does: "find" | "propose" }>;

export type Question = ScoreText & {
  readonly work: Work;
  /** Becomes 1 when nobody waits for the answer any more, or there is something else to do; see `GivenUp`. */
  readonly givenUp?: SharedArrayBuffer;
};

/** What comes of work: findings, edits, or why not. `refused` says what a person can do about it. */
export type Answer =
  | { readonly found: Found }
  | { readonly proposals: readonly Solution[] }
  | FoundEdits
  | { readonly refused: string }
  | { readonly givenUp: true }
  | { readonly trouble: string };

/** The edits that were asked for, and what a person is told with them. */
export interface FoundEdits {
  readonly edits: readonly Edit[];
  readonly remark?: string;
}

/** Sent before the answer, once or several times. */
export interface Stage {
  readonly stage: string;
}

/** A sign between two threads that work is not wanted any more: a thread that works takes in no message. */
export class GivenUp {
  readonly shared: SharedArrayBuffer;
  readonly #sign: Int32Array;

  constructor(shared = new SharedArrayBuffer(Int32Array.BYTES_PER_ELEMENT)) {
    this.shared = shared;
    this.#sign = new Int32Array(shared);
  }

  up(): void {
    Atomics.store(this.#sign, 0, 1);
  }

  get isUp(): boolean {
    return Atomics.load(this.#sign, 0) === 1;
  }
}

/** Ends work in its midst. */
class GaveUp extends Error {}

/** Tells the bundle, which is loaded in the thread too, what it is there for. */
export const threadMark = "placewright thread";

/** True where this bundle was loaded to work, and not to speak with an editor. */
export function isWorkThread(): boolean {
  return !isMainThread && workerData === threadMark;
}

/** Answers questions until the thread is ended. */
export function runWorkThread(): void {
  const memories = new Memories();
  const warmUp = new WarmUp();
  parentPort!.on("message", (question: Question) => {
    warmUp.putOff();
    const tell = (stage: string): void => parentPort!.postMessage({ stage } satisfies Stage);
    const remembered = memories.of(question.uri);
    parentPort!.postMessage(answerTo(question, remembered, tell));
    if (question.work.does === "find") warmUp.after(() => readAgain(question, remembered.memory));
  });
}

/** Reads a text for nothing but the code that is compiled by it; what fails has been told with the answer. */
function readAgain({ text, settings, givenUp }: Question, memory: AnalysisMemory): void {
  heed(givenUp, memory);
  try {
    findIn(text, settings, memory);
  } catch {}
}

/** From now on work that is given up ends at its next search. */
function heed(givenUp: SharedArrayBuffer | undefined, memory: AnalysisMemory): void {
  const given = givenUp && new GivenUp(givenUp);
  memory.solutions.beforeEach = () => {
    if (given?.isUp) throw new GaveUp();
  };
}

function answerTo(
  question: Question,
  { memory, texts }: DocumentMemory,
  tell: (stage: string) => void,
): Answer {
  const { text, settings, work, givenUp } = question;
  heed(givenUp, memory);
  try {
    if (work.does === "find")
      return { found: texts.of(text, settings, () => findIn(text, settings, memory)) };
    if (work.does === "propose") return { proposals: proposals(analyse(text, settings, memory)) };
    tell("reading the score");
    const analysis = analyse(text, settings, memory);
    tell(work.does === "finger" ? "looking for the best fingering" : "looking for the repair");
    const found = editsFor(analysis, work);
    tell("making sure that nothing else changes");
    guardedText(text, found.edits, permissionOf(analysis, work));
    return found;
  } catch (error) {
    if (error instanceof GaveUp) return { givenUp: true };
    if (error instanceof InputError) return { refused: error.message };
    return { trouble: error instanceof Error ? (error.stack ?? error.message) : String(error) };
  }
}

function findIn(text: string, settings: Settings, memory: AnalysisMemory): Found {
  const { problems, findings, unmatched } = analyse(text, settings, memory);
  const shown = gather(findings).map(({ fixes: _, ...finding }) => finding);
  return { problems, findings: shown, unmatched };
}

/** What the repairs that were asked for may change besides fingering. */
function permissionOf({ findings }: Analysis, work: EditingWork): Permission | undefined {
  if (work.does === "fix") return findings[work.finding]!.fixes[work.fix]!.permission;
  if (work.does !== "fixAll" || work.choice === "safe") return undefined;
  const { rule, title } = work.choice;
  const all = findings.filter((finding) => finding.rule === rule).flatMap(({ fixes }) => fixes);
  return all.find((fix) => fix.title === title)?.permission;
}

function editsFor(analysis: Analysis, work: EditingWork): FoundEdits {
  if (work.does === "fixAll") return { edits: fixAll(analysis, work.choice) };
  if (work.does === "fix") {
    const fix = analysis.findings[work.finding]!.fixes[work.fix]!;
    return { edits: fix.edits(), remark: fix.remark?.() };
  }
  return { edits: fingerAt(analysis, work.offset, work.scope, work.mode) };
}

/** So many documents are being typed in at a time, at most. */
const mostRemembered = 2;

/** What the last readings of one document have found. */
interface DocumentMemory {
  readonly memory: AnalysisMemory;
  readonly texts: FoundTexts;
}

/** The same for the last few documents. */
class Memories {
  readonly #known = new Map<string, DocumentMemory>();

  of(uri: string): DocumentMemory {
    const known = this.#known.get(uri) ?? { memory: new AnalysisMemory(), texts: new FoundTexts() };
    this.#known.delete(uri);
    this.#known.set(uri, known);
    const [oldest] = this.#known.keys();
    if (this.#known.size > mostRemembered) this.#known.delete(oldest!);
    return known;
  }
}
