import type { Severity } from "../../shared/rules/define.ts";
import { gather } from "../../shared/rules/gather.ts";
import { type Analysis, analyse } from "../../shared/service/analyse.ts";
import { levelFacts } from "../../shared/service/level.ts";
import { levelText } from "../../shared/service/levelText.ts";
import { counted } from "../../shared/service/words.ts";
import { LineIndex } from "../../shared/text/lineIndex.ts";
import { InputError } from "../../shared/text/problem.ts";
import type { Span } from "../../shared/text/span.ts";
import { acceptFindings } from "./acceptFindings.ts";
import type { Arguments } from "./arguments.ts";
import type { Command, ExitCode } from "./command.ts";
import { EntryCheck } from "./entryCheck.ts";
import { findScores } from "./findScores.ts";
import { type CheckedFile, type PlacedRange, reaches, severities } from "./formats/checked.ts";
import { checkJson } from "./formats/checkJson.ts";
import { checkText } from "./formats/checkText.ts";
import { readInput } from "./readInput.ts";
import { CallSettings, playerOptions } from "./settingsOf.ts";
import type { Terminal } from "./terminal.ts";

export const check: Command = {
  name: "check",
  operands: "PATH...",
  summary: "Report what is wrong or doubtful in written fingering and brackets.",
  description:
    "Checks scores. A folder stands for every score below it; - reads standard input. Findings go to standard\n" +
    "output, one a line: path:line:column: severity rule-id: message.",
  options: {
    format: {
      value: "FORMAT",
      choices: ["text", "json"],
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
    accept: {
      value: "RULE",
      help: "Mark findings of this rule in one score as intended: written into placewright.accepted.json beside it.",
    },
    bars: { value: "FROM-TO", help: "With --accept: only findings in these bars, by their printed numbers." },
    hand: { value: "HAND", choices: ["right", "left"], help: "With --accept: only findings of this hand." },
    reason: { value: "TEXT", help: "With --accept: why it is meant to be so." },
    ...playerOptions,
  },
  examples: [
    "placewright check song.musicxml",
    "placewright check scores --min-severity warning",
    "placewright check scores --format json > findings.json",
    'placewright check song.musicxml --accept thumb-not-on-top --bars 12 --reason "keeps 1 free for bar 13"',
  ],
  run,
};

async function run(args: Arguments, terminal: Terminal): Promise<ExitCode> {
  if (args.operands.length === 0) {
    throw new InputError("Name a file or a folder to check: placewright check PATH...");
  }
  const least = (args.value("min-severity") ?? "info") as Severity;
  const asJson = args.value("format") === "json";
  const settings = new CallSettings(args);
  await acceptFindings(args, settings, terminal);
  const { files, troubles } = await findScores(args.operands);
  const checked: CheckedFile[] = [];
  const entries = new EntryCheck();
  const add = (file: CheckedFile): void => {
    const kept = atOrAbove(file, least);
    checked.push(kept);
    if (!asJson) terminal.out(checkText(kept));
    if (!asJson && kept.level) terminal.out(`${kept.path}: level\n${levelText(kept.level)}`);
    for (const assumption of kept.assumptions) terminal.err(`${kept.path}: note: ${assumption}\n`);
  };
  for (const { path, message } of troubles) add(unreadable(path, message));
  const withLevel = asJson || args.has("level");
  for (const path of files) add(await checkOne(path, settings, entries, withLevel, terminal));
  for (const file of [...settings.faulty, ...entries.files]) add(file);
  if (asJson) terminal.out(checkJson(checked));
  terminal.err(`${summary(checked)}\n`);
  return exitCode(checked);
}

/** Checks one file. Whatever goes wrong with it becomes a problem of that file, so that the others are checked. */
async function checkOne(
  path: string,
  settings: CallSettings,
  entries: EntryCheck,
  withLevel: boolean,
  terminal: Terminal,
): Promise<CheckedFile> {
  try {
    const { name, text, notes } = await readInput(path, terminal);
    const found = settings.foundFor(path);
    const analysis = analyse(text, found.settings);
    entries.take(found.accepted, analysis);
    const place = placer(analysis.lines);
    return {
      path: name,
      problems: analysis.problems.map((problem) => ({ ...problem, range: place(problem.span) })),
      findings: gather(analysis.findings).map((finding) => ({
        ...finding,
        range: place(finding.span),
        related: finding.related.map(({ message, span }) => ({ message, range: place(span) })),
      })),
      accepted: analysis.accepted.length,
      level: withLevel ? levelFacts(analysis) : undefined,
      // What a finding says already is not said again.
      assumptions: [...notes, ...analysis.assumptions.filter((each) => !isTold(analysis, each))],
      noteCount: analysis.hands.reduce(
        (sum, { line }) => sum + line.events.reduce((notes, event) => notes + event.notes.length, 0),
        0,
      ),
    };
  } catch (error) {
    if (error instanceof InputError) return unreadable(path, error.message);
    const what = error instanceof Error ? error.message : String(error);
    return unreadable(path, `Placewright failed on this file, which is a fault of its own: ${what}.`);
  }
}

function isTold({ findings }: Analysis, assumption: string): boolean {
  return findings.some(({ message }) => message.startsWith(assumption));
}

function placer(lines: LineIndex): (span: Span) => PlacedRange {
  return (span) => ({ start: lines.place(span.start), end: lines.place(span.end) });
}

function unreadable(path: string, message: string): CheckedFile {
  const range = placer(new LineIndex(""))({ start: 0, end: 0 });
  return {
    path,
    problems: [{ severity: "error", message, range }],
    findings: [],
    assumptions: [],
    noteCount: 0,
  };
}

function atOrAbove(file: CheckedFile, least: Severity): CheckedFile {
  return {
    ...file,
    problems: file.problems.filter(({ severity }) => reaches(severity, least)),
    findings: file.findings.filter(({ severity }) => reaches(severity, least)),
  };
}

/** A problem that is an error means that a file could not be read, or not all of it. */
function exitCode(files: readonly CheckedFile[]): ExitCode {
  if (files.some(({ problems }) => problems.some(({ severity }) => severity === "error"))) return 2;
  return files.some(({ problems, findings }) => problems.length + findings.length > 0) ? 1 : 0;
}

function summary(files: readonly CheckedFile[]): string {
  const all = files.flatMap(({ problems, findings }) => [...problems, ...findings]);
  const notes = files.reduce((sum, { noteCount }) => sum + noteCount, 0);
  const counts = (
    [
      ["error", "error"],
      ["warning", "warning"],
      ["info", "remark"],
    ] as const
  ).flatMap(([severity, word]) => {
    const count = all.filter((each) => each.severity === severity).length;
    return count > 0 ? [counted(count, word)] : [];
  });
  const found = counts.length > 0 ? counts.join(", ") : "nothing found";
  const accepted = files.reduce((sum, file) => sum + (file.accepted ?? 0), 0);
  const asides = accepted > 0 ? `; ${accepted} accepted` : "";
  return `${counted(files.length, "file")}, ${counted(notes, "note")}: ${found}${asides}.`;
}
