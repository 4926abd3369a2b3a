import { analyse } from "../../shared/service/analyse.ts";
import { passageMap } from "../../shared/service/passageMap.ts";
import { InputError } from "../../shared/text/problem.ts";
import type { Arguments } from "./arguments.ts";
import type { Command, ExitCode } from "./command.ts";
import { checkText } from "./formats/checkText.ts";
import { passagesJson } from "./formats/passagesJson.ts";
import { passagesText } from "./formats/passagesText.ts";
import { readInput } from "./readInput.ts";
import { CallSettings, playerOptions } from "./settingsOf.ts";
import type { Terminal } from "./terminal.ts";

export const passages: Command = {
  name: "passages",
  operands: "FILE",
  summary: "List what comes back in a score, and how each place of it is fingered.",
  description:
    "Finds the passages that come back: on the same strings, on other strings, with small changes, in the other hand.\n" +
    "A table for each shows the printed fingers and brackets of its places side by side; * marks what differs. - reads\n" +
    "standard input.",
  options: {
    format: { value: "FORMAT", choices: ["text", "json"], help: "How they are printed; text by default." },
    part: playerOptions.part!,
  },
  examples: [
    "placewright passages song.musicxml",
    "placewright passages song.musicxml --format json > passages.json",
  ],
  run,
};

async function run(args: Arguments, terminal: Terminal): Promise<ExitCode> {
  const [path, second] = args.operands;
  if (path === undefined) throw new InputError("Name a score: placewright passages FILE");
  if (second !== undefined) throw new InputError(`One score at a time: ${path} or ${second}.`);
  const settings = new CallSettings(args);
  const { name, text, notes } = await readInput(path, terminal);
  const analysis = analyse(text, settings.settingsFor(path));
  const problems = analysis.problems.map((problem) => ({
    ...problem,
    range: {
      start: analysis.lines.place(problem.span.start),
      end: analysis.lines.place(problem.span.end),
    },
  }));
  for (const file of [
    ...settings.faulty,
    { path: name, problems, findings: [], assumptions: [], noteCount: 0 },
  ]) {
    terminal.err(checkText(file));
  }
  for (const note of [...notes, ...analysis.assumptions]) terminal.err(`${name}: note: ${note}\n`);
  const failed = settings.faulty.length > 0 || problems.some(({ severity }) => severity === "error");
  if (!analysis.harp) return 2;
  const map = passageMap(analysis);
  terminal.out(args.value("format") === "json" ? passagesJson(name, map) : passagesText(map));
  for (const message of map.messages) terminal.err(`${name}: note: ${message}\n`);
  return failed ? 2 : 0;
}
