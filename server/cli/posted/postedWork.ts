import { isMainThread, parentPort, workerData } from "node:worker_threads";
import { comfortFor } from "../../../shared/fingering/comfort.ts";
import { decodeScoreFile, encodeScoreFile } from "../../../shared/musicxml/scoreFile.ts";
import { type Analysis, analyse } from "../../../shared/service/analyse.ts";
import { brokenLocks } from "../../../shared/service/brokenLocks.ts";
import { cautions, stopOnPain } from "../../../shared/service/cautions.ts";
import { type FingerOptions, fingeredText, fingerScore } from "../../../shared/service/fingerScore.ts";
import type { Settings } from "../../../shared/service/settings.ts";
import { inOrder } from "../../../shared/text/edits.ts";
import { InputError } from "../../../shared/text/problem.ts";
import type { ScoreChoices, ScoreQuestion } from "../../view/scoreWork.ts";
import { barNumbers, checkBars } from "../bars.ts";
import { checkScore } from "../checking/checkScore.ts";
import { keptOf } from "../finger.ts";
import { fileJson } from "../formats/checkJson.ts";
import { fingerDocument } from "../formats/fingerJson.ts";

/** Where a path stands in documents about other scores. */
export const postedName = "<posted>";

/** A question and the settings that count for its score. Plain data: it goes to a thread. */
export interface PostedWork {
  readonly question: ScoreQuestion;
  readonly settings: Settings;
}

/** What comes of it. `refused` says what a person can do about it. */
export type PostedAnswer =
  | { readonly checked: object }
  | { readonly fingered: string | Uint8Array }
  | { readonly refused: string }
  | { readonly trouble: string };

const threadMark = "placewright posted scores";

/** True where this bundle was loaded to work on posted scores. */
export function isPostedThread(): boolean {
  return !isMainThread && workerData === threadMark;
}

/** What a thread that works on posted scores is started with. */
export const postedThreadOptions = {
  workerData: threadMark,
  // A score that needs more is refused; the server goes on.
  resourceLimits: { maxOldGenerationSizeMb: 1536 },
};

/** Works until the thread is ended. */
export function runPostedThread(): void {
  parentPort!.on("message", (work: PostedWork) => parentPort!.postMessage(postedAnswer(work)));
}

/** Does the work. Never throws. */
export function postedAnswer({ question, settings }: PostedWork): PostedAnswer {
  try {
    if (question.does === "finger") return { fingered: fingered(question, settings) };
    const { file } = checkScore({ path: postedName, bytes: question.bytes, settings, withLevel: true });
    return { checked: fileJson(file) };
  } catch (error) {
    if (error instanceof InputError) return { refused: error.message };
    return { trouble: error instanceof Error ? (error.stack ?? error.message) : String(error) };
  }
}

function fingered(
  { bytes, choices, as }: Extract<ScoreQuestion, { does: "finger" }>,
  settings: Settings,
): string | Uint8Array {
  const file = decodeScoreFile(bytes);
  const analysis = analyse(file.text, settings);
  const broken = analysis.problems.find(({ severity }) => severity === "error");
  if (broken) {
    const { line, column } = analysis.lines.place(broken.span.start);
    throw new InputError(`Line ${line}, column ${column}: ${broken.message}`);
  }
  const options = fingerOptions(choices, analysis);
  const fingering = fingerScore(analysis, options);
  const text = fingeredText(analysis, fingering);
  if (as === "musicxml") return encodeScoreFile(file, text);
  const comfort = comfortFor(analysis.profile);
  return JSON.stringify({
    ...fingerDocument(postedName, analysis, fingering),
    score: text,
    edits: inOrder(fingering.edits).map(({ span, text: replacement }) => ({ ...span, text: replacement })),
    remarks: [
      ...file.notes,
      ...analysis.assumptions,
      ...fingering.hands.flatMap((hand) => brokenLocks(hand, keptOf(hand, options))),
    ],
    warnings: fingering.hands.flatMap((hand) => cautions(hand, comfort)),
    caution: stopOnPain,
  });
}

/** @throws InputError when the score has no such bars, or they stand the other way round. */
function fingerOptions({ mode, hand, firstBar, lastBar }: ScoreChoices, analysis: Analysis): FingerOptions {
  const options = { mode: mode ?? "keep", hand };
  if (firstBar === undefined && lastBar === undefined) return options;
  const numbers = barNumbers(analysis.harp);
  const first = firstBar ?? numbers[0] ?? "";
  const last = lastBar ?? numbers.at(-1) ?? "";
  checkBars(numbers, first, last, {
    missing: (bar, all) => `There is no bar ${bar}. ${all}.`,
    turned: `Bar ${first} comes after bar ${last}. Exchange firstBar and lastBar.`,
  });
  return { ...options, bars: { first, last } };
}
