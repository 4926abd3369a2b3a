import { type Comfort, comfortFor } from "../../shared/fingering/comfort.ts";
import type { FingeredHand } from "../../shared/fingering/write.ts";
import { type Keep, keepAllWithin, keepOutside } from "../../shared/fingering/written.ts";
import { type Analysis, analyse } from "../../shared/service/analyse.ts";
import { brokenLocks } from "../../shared/service/brokenLocks.ts";
import { cautions, stopOnPain } from "../../shared/service/cautions.ts";
import {
  type FingerOptions,
  fingeredText,
  fingerScore,
  type ScoreFingering,
} from "../../shared/service/fingerScore.ts";
import { counted, unitsText } from "../../shared/service/words.ts";
import { InputError } from "../../shared/text/problem.ts";
import { replaceFile } from "../files/replaceFile.ts";
import type { Arguments } from "./arguments.ts";
import { readBars } from "./bars.ts";
import type { Command, ExitCode } from "./command.ts";
import { checkText } from "./formats/checkText.ts";
import { fingerExplained } from "./formats/fingerExplained.ts";
import { fingerJson } from "./formats/fingerJson.ts";
import { type InputScore, readInput, standardInput } from "./readInput.ts";
import { CallSettings, playerOptions } from "./settingsOf.ts";
import type { Terminal } from "./terminal.ts";

export const finger: Command = {
  name: "finger",
  operands: "FILE",
  summary: "Find the best fingering and write it into the score.",
  description:
    "Fingers a score: finds the cheapest fingering and placings, keeps what is printed and adds the rest. Nothing\n" +
    "else in the file changes. The score goes to standard output unless --out or --write says otherwise; - reads\n" +
    "standard input.",
  options: {
    out: { value: "FILE", help: "Write into this file." },
    write: { help: "Write back into FILE." },
    keep: { help: "Keep printed fingers and brackets, finger around them (the default)." },
    fresh: { help: "Finger anew, whatever is printed." },
    bars: { value: "FROM-TO", help: "Only these bars, by their printed numbers: 9-16, or 9." },
    hand: { value: "HAND", choices: ["right", "left", "both"], help: "Only this hand." },
    ...playerOptions,
    explain: { help: "Print each placing, what it costs and why, and what else could be done." },
    format: {
      value: "FORMAT",
      choices: ["musicxml", "json"],
      help: "musicxml (the default) writes the score, json the fingers and placings.",
    },
  },
  examples: [
    "placewright finger song.musicxml --out fingered.musicxml",
    "placewright finger song.musicxml --write --bars 9-16 --hand left",
    "placewright finger song.musicxml --fresh --explain",
    "placewright finger - < song.musicxml > fingered.musicxml",
  ],
  run,
};

async function run(args: Arguments, terminal: Terminal): Promise<ExitCode> {
  const path = onlyFile(args);
  checkTogether(args, path);
  const settings = new CallSettings(args);
  const input = await readInput(path, terminal);
  const analysis = analyse(input.text, settings.settingsFor(path));
  if (settings.faulty.length > 0) {
    for (const file of settings.faulty) terminal.err(checkText(file));
    return 2;
  }
  if (!isReadable(analysis, input.name, terminal)) return 2;
  for (const note of [...input.notes, ...analysis.assumptions])
    terminal.err(`${input.name}: note: ${note}\n`);

  const options = fingerOptions(args, analysis);
  const fingering = fingerScore(analysis, options);
  const result =
    args.value("format") === "json"
      ? Buffer.from(fingerJson(input.name, analysis, fingering))
      : input.encode(fingeredText(analysis, fingering));
  await deliver(args, path, result, input, fingering, terminal);
  if (args.has("explain")) {
    terminal.out(fingerExplained(analysis, fingering, (hand) => keptOf(hand, options)));
  }
  sayBeside(input.name, fingering, options, comfortFor(analysis.profile), terminal);
  return 0;
}

function onlyFile({ operands }: Arguments): string {
  const [path, second] = operands;
  if (path === undefined) throw new InputError("Name a score to finger: placewright finger FILE");
  if (second !== undefined) {
    throw new InputError(`One score at a time: ${path} or ${second}. Run the command once for each.`);
  }
  return path;
}

function checkTogether(args: Arguments, path: string): void {
  const clash = (one: string, other: string, what: string): void => {
    if (args.has(one) && args.has(other)) throw new InputError(`--${one} and --${other}: ${what}`);
  };
  clash("out", "write", "choose one place to write to.");
  clash("keep", "fresh", "what is printed is either kept or not. Choose one.");
  if (args.has("write") && path === standardInput) {
    throw new InputError(
      "--write: standard input cannot be written back to. Use --out FILE, or leave it out.",
    );
  }
  if (args.value("format") !== "json") return;
  if (args.has("write")) {
    throw new InputError("--write would put JSON in the place of the score. Use --out FILE for the JSON.");
  }
  if (args.has("explain") && !writesElsewhere(args)) {
    throw new InputError(
      "--explain and --format json would both go to standard output. Add --out FILE for the JSON.",
    );
  }
}

function writesElsewhere(args: Arguments): boolean {
  return args.has("write") || (args.value("out") ?? standardInput) !== standardInput;
}

/** A score that could only be read in part is not written into: its timing, and so its fingering, may be wrong. */
function isReadable({ problems, lines }: Analysis, path: string, terminal: Terminal): boolean {
  const placed = problems.map((problem) => ({
    ...problem,
    range: { start: lines.place(problem.span.start), end: lines.place(problem.span.end) },
  }));
  terminal.err(checkText({ path, problems: placed, findings: [], assumptions: [], noteCount: 0 }));
  return problems.every(({ severity }) => severity !== "error");
}

function fingerOptions(args: Arguments, analysis: Analysis): FingerOptions {
  const bars = args.value("bars");
  return {
    mode: args.has("fresh") ? "fresh" : "keep",
    hand: args.value("hand") as FingerOptions["hand"],
    bars: bars === undefined ? undefined : readBars(bars, analysis),
  };
}

async function deliver(
  args: Arguments,
  path: string,
  result: Uint8Array,
  input: InputScore,
  fingering: ScoreFingering,
  terminal: Terminal,
): Promise<void> {
  if (!writesElsewhere(args)) {
    if (!args.has("explain")) terminal.out(result);
    return;
  }
  const target = args.value("out") ?? path;
  if (args.has("write") && fingering.edits.length === 0) {
    terminal.err(`${input.name}: nothing to add; the file stays as it is.\n`);
    return;
  }
  // Written back, the file must be as it was read: another program may have saved it meanwhile.
  await replaceFile(target, result, args.has("write") ? input.bytes : undefined);
  terminal.err(`${input.name}: written to ${target}.\n`);
}

/** What of a hand's print was to be kept. */
function keptOf({ written, range }: FingeredHand, { mode }: FingerOptions): Keep {
  const chosen = range ?? { first: 0, last: written.line.events.length - 1 };
  return mode === "keep" ? keepAllWithin(chosen) : keepOutside(chosen);
}

function sayBeside(
  name: string,
  fingering: ScoreFingering,
  options: FingerOptions,
  comfort: Comfort,
  terminal: Terminal,
): void {
  for (const hand of fingering.hands) {
    for (const sentence of brokenLocks(hand, keptOf(hand, options))) terminal.err(`${name}: ${sentence}\n`);
  }
  terminal.err(`${name}: ${extent(fingering)}\n`);
  for (const hand of fingering.hands) {
    for (const sentence of cautions(hand, comfort)) terminal.err(`${name}: ${sentence}\n`);
  }
  terminal.err(`${stopOnPain}\n`);
}

/** How much was fingered. The cost is always that of the whole line, as no part of it has one of its own. */
function extent({ hands, totalMilli, gapMilli }: ScoreFingering): string {
  let notes = 0;
  let placings = 0;
  for (const { written, solution, range } of hands) {
    const { first, last } = range ?? { first: 0, last: written.line.events.length - 1 };
    notes += solution.fingers.slice(first, last + 1).flat().length;
    placings += solution.placings.filter((each) => each.last >= first && each.first <= last).length;
  }
  const parts = `${counted(notes, "note")} in ${counted(placings, "placing")}`;
  const alike =
    gapMilli > 0 ? `, at most ${unitsText(gapMilli)} of it for fingering alike what comes back` : "";
  return `${parts}; the whole fingering costs ${unitsText(totalMilli)}${alike}.`;
}
