import { stat } from "node:fs/promises";
import { type Comfort, comfortFor } from "../../shared/fingering/comfort.ts";
import type { FingeredHand } from "../../shared/fingering/write.ts";
import { type Keep, keepAllWithin, keepOutside } from "../../shared/fingering/written.ts";
import { type Analysis, analyse } from "../../shared/service/analyse.ts";
import { brokenLocks } from "../../shared/service/brokenLocks.ts";
import { cautions, stopOnPain } from "../../shared/service/cautions.ts";
import { type FingerOptions, fingerScore, type ScoreFingering } from "../../shared/service/fingerScore.ts";
import { markedText, type WrittenMarks, writeMechanismMarks } from "../../shared/service/mechanismMarks.ts";
import { counted, unitsText } from "../../shared/service/words.ts";
import { InputError } from "../../shared/text/problem.ts";
import { replaceFile } from "../files/replaceFile.ts";
import type { Arguments } from "./arguments.ts";
import { readBars } from "./bars.ts";
import { ProgressLine } from "./checking/progressLine.ts";
import type { Command, ExitCode } from "./command.ts";
import { findScores, isPattern } from "./findScores.ts";
import { checkText } from "./formats/checkText.ts";
import { fingerExplained } from "./formats/fingerExplained.ts";
import { fingerJson } from "./formats/fingerJson.ts";
import { type InputScore, readInput, standardInput } from "./readInput.ts";
import { CallSettings, playerOptions } from "./settingsOf.ts";
import type { Terminal } from "./terminal.ts";
import { harpOptions, withHarpToMark } from "./wantedHarp.ts";

export const finger: Command = {
  name: "finger",
  operands: "FILE...",
  summary: "Find the best fingering and write it into the score.",
  description:
    "Fingers a score: finds the cheapest fingering and placings, keeps what is printed and adds the rest. Nothing\n" +
    "else in the file changes. With --pedals or --levers the setting at the start and every change are written too, where\n" +
    "they are not there yet. The score goes to standard output unless --out or --write says otherwise; - reads\n" +
    "standard input. Several scores, or those below a folder, are written back, with a summary at the end.",
  options: {
    out: { value: "FILE", help: "Write into this file." },
    write: { help: "Write back into FILE." },
    keep: { help: "Keep printed fingers and brackets, finger around them (the default)." },
    fresh: { help: "Finger anew, whatever is printed." },
    bars: { value: "FROM-TO", help: "Only these bars, by their printed numbers: 9-16, or 9." },
    hand: { value: "HAND", choices: ["right", "left", "both"], help: "Only this hand." },
    pedals: { help: "Write how the pedals stand at the start, and every change." },
    levers: { help: "Write which levers are up at the start, and every change." },
    ...harpOptions,
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
    "placewright finger song.musicxml --levers --tuning Eb --out marked.musicxml",
    "placewright finger scores --write",
    "placewright finger - < song.musicxml > fingered.musicxml",
  ],
  run,
};

async function run(args: Arguments, terminal: Terminal): Promise<ExitCode> {
  const [path, ...others] = args.operands;
  if (path === undefined) throw new InputError("Name a score to finger: placewright finger FILE");
  checkTogether(args, path);
  const settings = new CallSettings(args);
  if (others.length > 0 || !(await isOneScore(path))) return fingerMany(args, settings, terminal);
  const { outcome } = await fingerOne(args, path, settings, terminal);
  return outcome === "failed" ? 2 : 0;
}

/** What came of one score. */
interface Fingered {
  /** `unchanged`: there was nothing to add. */
  readonly outcome: "fingered" | "unchanged" | "failed";
  readonly notes: number;
  readonly placings: number;
}

const failed: Fingered = { outcome: "failed", notes: 0, placings: 0 };

async function fingerOne(
  args: Arguments,
  path: string,
  settings: CallSettings,
  terminal: Terminal,
): Promise<Fingered> {
  const input = await readInput(path, terminal);
  const { settings: wanted, assumed } = withHarpToMark(args, settings.settingsFor(path), input.text);
  const analysis = analyse(input.text, wanted);
  if (settings.faulty.length > 0) {
    for (const file of settings.faulty) terminal.err(checkText(file));
    return failed;
  }
  if (!isReadable(analysis, input.name, terminal)) return failed;
  for (const note of [...input.notes, ...analysis.assumptions, ...(assumed ? [assumed] : [])])
    terminal.err(`${input.name}: note: ${note}\n`);

  const options = fingerOptions(args, analysis);
  const fingering = fingerScore(analysis, options);
  const marks = args.has("pedals") || args.has("levers") ? writeMechanismMarks(analysis) : noMarks;
  const edits = [...fingering.edits, ...marks.edits].length;
  const result =
    args.value("format") === "json"
      ? Buffer.from(fingerJson(input.name, analysis, fingering))
      : input.encode(markedText(analysis, fingering, marks));
  await deliver(args, path, result, input, edits, terminal);
  if (args.has("explain")) {
    terminal.out(fingerExplained(analysis, fingering, (hand) => keptOf(hand, options)));
  }
  sayBeside(input.name, fingering, options, comfortFor(analysis.profile), terminal);
  if (marks !== noMarks) terminal.err(`${input.name}: ${marksSaid(marks)}\n`);
  const outcome = edits > 0 ? "fingered" : "unchanged";
  return { outcome, ...sizeOf(fingering) };
}

const noMarks: WrittenMarks = { edits: [], places: 0, withoutTime: 0 };

function marksSaid({ places, withoutTime }: WrittenMarks): string {
  const written =
    places === 0 ? "all that changes is written already" : `written at ${counted(places, "place")}`;
  const late = withoutTime === 0 ? "" : `; for ${counted(withoutTime, "change")} there is no time, see check`;
  return `levers or pedals: ${written}${late}.`;
}

/** A folder and a pattern stand for several; what is not there is named by whoever reads it. */
async function isOneScore(path: string): Promise<boolean> {
  if (path === standardInput) return true;
  const nature = await stat(path).catch(() => undefined);
  return nature ? !nature.isDirectory() : !isPattern(path);
}

/** Fingers scores one after the other and writes each back. One that cannot be read or written stops no other. */
async function fingerMany(args: Arguments, settings: CallSettings, terminal: Terminal): Promise<ExitCode> {
  if (!args.has("write")) {
    throw new InputError("Several scores can only be written back: add --write.");
  }
  for (const name of ["bars", "explain", "part"]) {
    if (args.has(name)) throw new InputError(`--${name} is about one score: name its file alone.`);
  }
  const { files, troubles } = await findScores(args.operands);
  for (const { message } of troubles) terminal.err(`placewright: ${message}\n`);
  const progress = new ProgressLine(terminal, files.length);
  const all: Fingered[] = troubles.map(() => failed);
  for (const [i, path] of files.entries()) {
    progress.show(i, path);
    try {
      all.push(await fingerOne(args, path, settings, terminal));
    } catch (error) {
      const what = error instanceof InputError ? error.message : `a fault of its own: ${String(error)}`;
      terminal.err(`${path}: ${what}\n`);
      all.push(failed);
    }
  }
  progress.show(files.length);
  terminal.out(summary(all));
  return all.some(({ outcome }) => outcome === "failed") ? 2 : 0;
}

function summary(all: readonly Fingered[]): string {
  const having = (wanted: Fingered["outcome"]): readonly Fingered[] =>
    all.filter(({ outcome }) => outcome === wanted);
  const fingered = having("fingered");
  const sum = (key: "notes" | "placings"): number => fingered.reduce((total, each) => total + each[key], 0);
  const [unchanged, broken] = [having("unchanged").length, having("failed").length];
  const parts = [
    `${fingered.length} fingered (${counted(sum("notes"), "note")} in ${counted(sum("placings"), "placing")})`,
    ...(unchanged > 0 ? [`${unchanged} with nothing to add`] : []),
    ...(broken > 0 ? [`${broken} left as ${broken === 1 ? "it was" : "they were"}`] : []),
  ];
  return `${counted(all.length, "score")}: ${parts.join(", ")}.\n`;
}

function checkTogether(args: Arguments, path: string): void {
  const clash = (one: string, other: string, what: string): void => {
    if (args.has(one) && args.has(other)) throw new InputError(`--${one} and --${other}: ${what}`);
  };
  clash("out", "write", "choose one place to write to.");
  clash("pedals", "levers", "a harp has one or the other. Choose one.");
  for (const name of ["pedals", "levers"]) {
    clash(name, "bars", "how the harp is set is about the whole score. Leave --bars out.");
    if (args.has(name) && args.value("format") === "json")
      throw new InputError(`--${name} writes into a score, and --format json writes none. Choose one.`);
  }
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
  edits: number,
  terminal: Terminal,
): Promise<void> {
  if (!writesElsewhere(args)) {
    if (!args.has("explain")) terminal.out(result);
    return;
  }
  const target = args.value("out") ?? path;
  if (args.has("write") && edits === 0) {
    terminal.err(`${input.name}: nothing to add; the file stays as it is.\n`);
    return;
  }
  // Written back, the file must be as it was read: another program may have saved it meanwhile.
  await replaceFile(target, result, args.has("write") ? input.bytes : undefined);
  terminal.err(`${input.name}: written to ${target}.\n`);
}

/** What of a hand's print was to be kept. */
export function keptOf({ written, range }: FingeredHand, { mode }: FingerOptions): Keep {
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
function extent(fingering: ScoreFingering): string {
  const { totalMilli, gapMilli } = fingering;
  const { notes, placings } = sizeOf(fingering);
  const parts = `${counted(notes, "note")} in ${counted(placings, "placing")}`;
  const alike =
    gapMilli > 0 ? `, at most ${unitsText(gapMilli)} of it for fingering alike what comes back` : "";
  return `${parts}; the whole fingering costs ${unitsText(totalMilli)}${alike}.`;
}

function sizeOf({ hands }: ScoreFingering): { readonly notes: number; readonly placings: number } {
  let notes = 0;
  let placings = 0;
  for (const { written, solution, range } of hands) {
    const { first, last } = range ?? { first: 0, last: written.line.events.length - 1 };
    notes += solution.fingers.slice(first, last + 1).flat().length;
    placings += solution.placings.filter((each) => each.last >= first && each.first <= last).length;
  }
  return { notes, placings };
}
