import { compareEditions } from "../../shared/editions/compareEditions.ts";
import type { EditionComparison } from "../../shared/editions/model.ts";
import { type Analysis, analyse } from "../../shared/service/analyse.ts";
import { InputError } from "../../shared/text/problem.ts";
import { replaceFile } from "../files/replaceFile.ts";
import { Engraver } from "../print/engraver.ts";
import { errataPage } from "../print/errataPage.ts";
import type { Arguments } from "./arguments.ts";
import type { Command, ExitCode } from "./command.ts";
import { compareJson } from "./formats/compareJson.ts";
import { compareMarkdown, compareText } from "./formats/compareText.ts";
import { type InputScore, readInput, standardInput } from "./readInput.ts";
import { CallSettings, playerOptions } from "./settingsOf.ts";
import { programOf, type Terminal } from "./terminal.ts";

export const compare: Command = {
  name: "compare",
  operands: "OLD NEW",
  summary: "Tell what a new edition has otherwise: fingers, brackets, hands, and apart, notes.",
  description:
    "Compares two versions of a score by their music: bars may be put in, taken out or numbered anew, and another\n" +
    "program may have written the file. Exit code 1 says that something was changed.",
  options: {
    format: {
      value: "FORMAT",
      choices: ["text", "json", "markdown", "html"],
      help: "How changes are printed; text by default. html is an errata slip to print, with the bars before and after.",
    },
    out: { value: "FILE", help: "Write into this file instead of standard output." },
    part: playerOptions.part!,
  },
  examples: [
    "placewright compare printed-2019.musicxml song.musicxml",
    "placewright compare old.mxl new.musicxml --format markdown --out changes.md",
    "placewright compare old.mxl new.musicxml --format html --out errata.html",
  ],
  run,
};

async function run(args: Arguments, terminal: Terminal): Promise<ExitCode> {
  const [oldPath, newPath, third] = args.operands;
  if (oldPath === undefined || newPath === undefined || third !== undefined) {
    throw new InputError("Name the old version and the new one: placewright compare OLD NEW");
  }
  if (oldPath === standardInput && newPath === standardInput) {
    throw new InputError("Only one of the two versions can be standard input.");
  }
  const settings = new CallSettings(args);
  const old = await readEdition(oldPath, settings, terminal);
  const now = await readEdition(newPath, settings, terminal);
  const comparison = compareEditions(old.edition, now.edition);
  const text = await formatted(args.value("format"), old, now, comparison, terminal);
  const out = args.value("out");
  if (out === undefined || out === standardInput) terminal.out(text);
  else await replaceFile(out, Buffer.from(text));
  return comparison.changes.length > 0 ? 1 : 0;
}

async function formatted(
  format: string | undefined,
  old: ReadEdition,
  now: ReadEdition,
  comparison: EditionComparison,
  terminal: Terminal,
): Promise<string> {
  const names = { old: old.name, new: now.name };
  switch (format) {
    case "json":
      return compareJson(names, comparison);
    case "markdown":
      return compareMarkdown(names, comparison);
    case "html":
      return errataPage(old, now, comparison, await Engraver.start(programOf(terminal)));
    default:
      return compareText(comparison);
  }
}

interface ReadEdition {
  readonly name: string;
  readonly analysis: Analysis;
  readonly edition: Parameters<typeof compareEditions>[0];
}

/** @throws InputError when it cannot be read, or not whole: what is missing would be taken for a change. */
async function readEdition(path: string, settings: CallSettings, terminal: Terminal): Promise<ReadEdition> {
  const input: InputScore = await readInput(path, terminal);
  const analysis = analyse(input.text, settings.settingsFor(path));
  const { harp, hands, problems, lines } = analysis;
  const error = problems.find(({ severity }) => severity === "error");
  if (!harp || error) {
    const { line, column } = lines.place(error?.span.start ?? 0);
    throw new InputError(`${input.name}:${line}:${column}: ${error?.message ?? "There is no harp part."}`);
  }
  for (const note of input.notes) terminal.err(`${input.name}: note: ${note}\n`);
  return { name: input.name, analysis, edition: { harp, hands } };
}
