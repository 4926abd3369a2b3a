import { availableParallelism } from "node:os";
import envPaths from "env-paths";
import type { Severity } from "../../shared/rules/define.ts";
import type { HouseRulePage } from "../../shared/rules/house.ts";
import { counted } from "../../shared/service/words.ts";
import { InputError } from "../../shared/text/problem.ts";
import { replaceFile } from "../files/replaceFile.ts";
import { ResultStore } from "../files/resultStore.ts";
import { acceptFindings } from "./acceptFindings.ts";
import type { Arguments } from "./arguments.ts";
import { Baseline, baselineText } from "./checking/baseline.ts";
import { type CheckCounts, checkScores } from "./checking/checkScores.ts";
import { CheckSummary } from "./checking/checkSummary.ts";
import { ProgressLine } from "./checking/progressLine.ts";
import { filesOfShard, readShard, sizesOf } from "./checking/shards.ts";
import type { Command, ExitCode } from "./command.ts";
import { EntryCheck } from "./entryCheck.ts";
import { type FoundScores, findScores } from "./findScores.ts";
import { atOrAbove, type CheckedFile, severities, unreadable } from "./formats/checked.ts";
import { type CheckReport, checkReport, type ReportFormat, reportFormats } from "./formats/checkReport.ts";
import { HouseCheck, houseOptions } from "./houseCheck.ts";
import { CallSettings, playerOptions, shortened } from "./settingsOf.ts";
import type { Terminal } from "./terminal.ts";

export const check: Command = {
  name: "check",
  operands: "PATH...",
  summary: "Report what is wrong or doubtful in written fingering and brackets.",
  description:
    "Checks scores. A folder stands for every score below it that no .gitignore leaves out, a pattern in quotes for the\n" +
    "scores that fit; - reads standard input. Findings go to standard output, one a line:\n" +
    "path:line:column: severity rule-id: message.",
  options: {
    format: {
      value: "FORMAT",
      choices: reportFormats,
      help: "How findings are printed; text by default.",
    },
    "min-severity": {
      value: "SEVERITY",
      choices: severities,
      help: "Leave out findings below this; info by default, so that everything is shown and counts.",
    },
    level: {
      help: "Also tell what teachers weigh: fingers, reaches, crossings, time to place anew. In JSON it is always told.",
    },
    since: {
      value: "FILE",
      help: "Only what is not in this baseline, or in this JSON report of an earlier check.",
    },
    "write-baseline": {
      value: "FILE",
      help: "Write all that is found into a baseline for --since; print nothing.",
    },
    shard: {
      value: "I/N",
      help: "Check only share I of N equal ones; with --format json, placewright merge makes one report of all.",
    },
    jobs: { value: "N", help: "Check so many scores at a time; by default as many as there are processors." },
    cache: {
      value: "FOLDER",
      help: "Where results are kept for the next check; by default a folder of your own for such things.",
    },
    "no-cache": { help: "Keep no results and use none." },
    ignored: { help: "Also scores below a folder that a .gitignore leaves out." },
    accept: {
      value: "RULE",
      help: "Mark findings of this rule in one score as intended: written into placewright.accepted.json beside it.",
    },
    bars: { value: "FROM-TO", help: "With --accept: only findings in these bars, by their printed numbers." },
    hand: { value: "HAND", choices: ["right", "left"], help: "With --accept: only findings of this hand." },
    reason: { value: "TEXT", help: "With --accept: why it is meant to be so." },
    ...houseOptions,
    ...playerOptions,
  },
  examples: [
    "placewright check song.musicxml",
    "placewright check scores --min-severity warning",
    "placewright check scores --format json > findings.json",
    "placewright check scores --write-baseline baseline.json",
    "placewright check scores --since baseline.json --format github",
    "placewright check scores --shard 1/4 --format json > shard-1.json",
    'placewright check song.musicxml --accept thumb-not-on-top --bars 12 --reason "keeps 1 free for bar 13"',
  ],
  run,
};

async function run(args: Arguments, terminal: Terminal): Promise<ExitCode> {
  const house = new HouseCheck(args, terminal);
  try {
    return await runWith(house, args, terminal);
  } finally {
    await house.end();
  }
}

async function runWith(house: HouseCheck, args: Arguments, terminal: Terminal): Promise<ExitCode> {
  if (args.operands.length === 0) {
    throw new InputError("Name a file or a folder to check: placewright check PATH...");
  }
  checkTogether(args);
  const jobs = readJobs(args);
  const settings = new CallSettings(args);
  const since = args.value("since");
  const baseline = since === undefined ? undefined : await Baseline.read(since);
  await acceptFindings(args, settings, house, terminal);
  const { files, troubles } = await chosenFiles(args);
  const store = storeOf(args, terminal);
  const plugins = files.flatMap(({ path }) => settings.foundFor(path).plugins);
  const output = new CheckOutput(args, terminal, baseline, await house.pages([...new Set(plugins)]));
  const entries = new EntryCheck();
  const progress = new ProgressLine(terminal, files.length);
  const counts: CheckCounts = { checked: 0, known: 0 };
  const paths = files.map(({ path }) => path);
  const withLevel = args.value("format") === "json" || args.has("level");
  for (const { path, message } of troubles) output.add(unreadable(path, message), -1);
  let told = 0;
  for await (const { file, unmatched } of checkScores(
    paths,
    { settings, house, withLevel, jobs, store },
    terminal,
    counts,
    (finished, path) => progress.show(finished, path),
  )) {
    const { path, at } = files[told]!;
    entries.take(settings.foundFor(path).accepted, unmatched);
    output.add(file, at);
    told += 1;
  }
  const beside = [...settings.faulty, ...entries.files, ...house.takeTroubles()].sort((a, b) =>
    a.path < b.path ? -1 : 1,
  );
  for (const file of beside) output.add(file);
  await store?.tidy(Date.now());
  if (store && !store.isWritable) {
    terminal.err(
      "placewright: results could not be kept for the next check. Name another folder with --cache.\n",
    );
  }
  return output.end(counts);
}

function checkTogether(args: Arguments): void {
  const clash = (one: string, other: string, what: string): void => {
    if (args.has(one) && args.has(other)) throw new InputError(`--${one} and --${other}: ${what}`);
  };
  clash("cache", "no-cache", "choose one.");
  clash("write-baseline", "since", "a baseline holds all that is found. Choose one.");
  clash(
    "write-baseline",
    "shard",
    "a baseline holds all that is found. Merge the shards: a JSON report is a baseline too.",
  );
}

/** @throws InputError when `--jobs` is no number of threads. */
function readJobs(args: Arguments): number {
  const text = args.value("jobs");
  if (text === undefined) return availableParallelism();
  const jobs = Number(text);
  if (!Number.isInteger(jobs) || jobs < 1 || jobs > 256) {
    throw new InputError(`--jobs ${text} is no number of scores. Write a number from 1 to 256.`);
  }
  return jobs;
}

/** The files to check, each with its number among those of all shards. */
async function chosenFiles(args: Arguments): Promise<{
  readonly files: readonly { readonly path: string; readonly at: number }[];
  readonly troubles: FoundScores["troubles"];
}> {
  const text = args.value("shard");
  const shard = text === undefined ? undefined : readShard(text);
  const { files, troubles } = await findScores(args.operands, { ignored: args.has("ignored") });
  const all = files.map((path, at) => ({ path, at }));
  if (!shard) return { files: all, troubles };
  const own = filesOfShard(await sizesOf(files), shard);
  // One shard tells what all of them come upon.
  return { files: own.map((at) => all[at]!), troubles: shard.index === 1 ? troubles : [] };
}

/** Results are kept where the system keeps such things, and of a program that is no file nowhere unless asked for. */
function storeOf(args: Arguments, { program }: Terminal): ResultStore | undefined {
  if (args.has("no-cache")) return undefined;
  const folder =
    args.value("cache") ??
    (program === undefined ? undefined : envPaths("placewright", { suffix: "" }).cache);
  return folder === undefined ? undefined : new ResultStore(folder);
}

/** Tells what was found as it comes in, in the format that was asked for, or gathers it for a baseline. */
class CheckOutput {
  readonly #terminal: Terminal;
  readonly #least: Severity;
  readonly #baseline: Baseline | undefined;
  readonly #report: CheckReport;
  readonly #summary = new CheckSummary();
  readonly #writeTo: string | undefined;
  readonly #gathered: CheckedFile[] = [];
  #known = 0;

  constructor(
    args: Arguments,
    terminal: Terminal,
    baseline: Baseline | undefined,
    houseRules: readonly HouseRulePage[],
  ) {
    this.#terminal = terminal;
    this.#least = (args.value("min-severity") ?? "info") as Severity;
    this.#baseline = baseline;
    this.#writeTo = args.value("write-baseline");
    this.#report = checkReport(args.value("format") as ReportFormat | undefined, {
      shard: args.value("shard"),
      withLevel: args.has("level"),
      houseRules,
    });
    if (this.#writeTo === undefined) terminal.out(this.#report.begin());
  }

  add(file: CheckedFile, at?: number): void {
    const kept = atOrAbove(file, this.#least);
    const told = this.#baseline?.onlyNew(kept) ?? kept;
    this.#known += kept.findings.length - told.findings.length;
    this.#summary.add(told);
    if (this.#writeTo === undefined) this.#terminal.out(this.#report.file(told, at));
    else this.#gathered.push(told);
    for (const assumption of told.assumptions) this.#terminal.err(`${told.path}: note: ${assumption}\n`);
  }

  async end({ known, checked }: CheckCounts): Promise<ExitCode> {
    const { text, exitCode } = this.#summary;
    const before = this.#baseline ? `; ${this.#known} known before` : "";
    const again = known > 0 ? ` (${checked} read anew, the others unchanged)` : "";
    if (this.#writeTo === undefined) {
      this.#terminal.out(this.#report.end());
      this.#terminal.err(`${text}${before}${again}.\n`);
      return exitCode;
    }
    await replaceFile(this.#writeTo, Buffer.from(baselineText(this.#writeTo, this.#gathered)));
    const count = this.#gathered.reduce((sum, { findings }) => sum + findings.length, 0);
    this.#terminal.err(
      `${text}${again}.\n${counted(count, "finding")} written to ${shortened(this.#writeTo)}.\n`,
    );
    for (const { path, problems } of this.#gathered) {
      for (const { severity, message } of problems) {
        if (severity === "error") this.#terminal.err(`${path}: error: ${message}\n`);
      }
    }
    return exitCode === 2 ? 2 : 0;
  }
}
