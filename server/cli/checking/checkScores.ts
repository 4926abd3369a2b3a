import { createHash } from "node:crypto";
import { readFile } from "node:fs/promises";
import { version } from "../../../package.json";
import { InputError } from "../../../shared/text/problem.ts";
import { fileTrouble } from "../../files/fileTrouble.ts";
import { ResultStore } from "../../files/resultStore.ts";
import { unreadable } from "../formats/checked.ts";
import type { HouseCheck } from "../houseCheck.ts";
import { standardInput } from "../readInput.ts";
import type { CallSettings } from "../settingsOf.ts";
import type { Terminal } from "../terminal.ts";
import { type CheckedScore, checkScore, type ScoreToCheck } from "./checkScore.ts";
import { CheckThreads } from "./checkThreads.ts";
import { inOrder } from "./inOrder.ts";
import { sizesOf } from "./shards.ts";

/** How scores are checked. */
export interface CheckPlan {
  readonly settings: CallSettings;
  readonly house: HouseCheck;
  readonly withLevel: boolean;
  /** Threads that check at a time; 1 is this thread alone. */
  readonly jobs: number;
  /** Where results of earlier calls are. */
  readonly store: ResultStore | undefined;
}

/** What was done with the scores. */
export interface CheckCounts {
  /** Read and checked. */
  checked: number;
  /** Known from an earlier call. */
  known: number;
}

/** Scores that are read and checked at a time, for each thread: one waits while another is checked. */
const perThread = 2;
/** What is told of scores is about a tenth as large as they are: so many bytes of them may wait for an earlier one. */
const mostHeld = 500_000_000;

/**
 * Checks scores, several at a time, and tells each in the order of the list.
 *
 * @param report called as scores are begun and done, in whatever order: how many are done, and which was begun last.
 */
export async function* checkScores(
  paths: readonly string[],
  plan: CheckPlan,
  terminal: Terminal,
  counts: CheckCounts,
  report: (done: number, path: string) => void,
): AsyncGenerator<CheckedScore> {
  const { program } = terminal;
  const threads = plan.jobs > 1 && program !== undefined ? new CheckThreads(program, plan.jobs) : undefined;
  const programName = plan.store ? await nameOfProgram(program) : "";
  const one = async (path: string): Promise<CheckedScore> => {
    const score = await readScore(path, plan, terminal);
    if ("file" in score) return score;
    const name = plan.store && ResultStore.nameOf([programName, ...partsOf(score)]);
    const known = name === undefined ? undefined : await plan.store!.get(name);
    if (known !== undefined) {
      counts.known += 1;
      const { file, ...rest } = JSON.parse(known) as CheckedScore;
      return { ...rest, file: { ...file, path: score.path } };
    }
    counts.checked += 1;
    const json = threads ? await threads.check(score) : JSON.stringify(checkScore(score));
    const checked = JSON.parse(json) as CheckedScore;
    if (name !== undefined && !checked.failed) await plan.store!.put(name, json);
    return checked;
  };
  let done = 0;
  let latest = "";
  const work = async (i: number): Promise<CheckedScore> => {
    latest = paths[i]!;
    report(done, latest);
    const checked = await one(latest);
    done += 1;
    report(done, latest);
    return checked;
  };
  try {
    const sizes = threads ? await sizesOf(paths) : paths.map(() => 0);
    yield* inOrder(sizes, threads ? perThread * plan.jobs : 1, mostHeld, work);
  } finally {
    await threads?.end();
  }
}

/** A program's results are its own: after an update everything is checked anew. */
async function nameOfProgram(program: string | undefined): Promise<string> {
  if (program === undefined) return version;
  return `${version} ${createHash("sha256")
    .update(await readFile(program))
    .digest("hex")}`;
}

function partsOf({ settings, withLevel, bytes }: ScoreToCheck): (string | Uint8Array)[] {
  return [JSON.stringify(settings), withLevel ? "level" : "", bytes];
}

async function readScore(
  path: string,
  { settings, house, withLevel }: CheckPlan,
  terminal: Terminal,
): Promise<ScoreToCheck | CheckedScore> {
  const fromInput = path === standardInput;
  const name = fromInput ? "<stdin>" : path;
  try {
    const bytes = fromInput ? await terminal.readInput() : await readFile(path);
    return {
      path: name,
      bytes,
      settings: await house.settingsWith(settings.foundFor(path), bytes),
      withLevel,
    };
  } catch (error) {
    const message = error instanceof InputError ? error.message : fileTrouble(error, path);
    return { file: unreadable(name, message) };
  }
}
