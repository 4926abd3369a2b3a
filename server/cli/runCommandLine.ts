import { closest } from "fastest-levenshtein";
import { version } from "../../package.json";
import { InputError } from "../../shared/text/problem.ts";
import { readArguments } from "./arguments.ts";
import { check } from "./check.ts";
import type { Command, ExitCode } from "./command.ts";
import { compare } from "./compare.ts";
import { finger } from "./finger.ts";
import { harp } from "./harp.ts";
import { commandHelp, generalHelp } from "./help.ts";
import { lsp } from "./lsp.ts";
import { merge } from "./merge.ts";
import { passages } from "./passages.ts";
import { report } from "./report.ts";
import { rules } from "./rules.ts";
import type { Terminal } from "./terminal.ts";
import { view } from "./view.ts";
import { watch } from "./watch.ts";

const commands: readonly Command[] = [
  check,
  merge,
  finger,
  passages,
  compare,
  report,
  harp,
  watch,
  view,
  rules,
  lsp,
];

/** Runs one call of the command line: everything after `placewright`. Never throws for what a user did. */
export async function runCommandLine(args: readonly string[], terminal: Terminal): Promise<ExitCode> {
  try {
    return await dispatch(args, terminal);
  } catch (error) {
    if (error instanceof InputError) {
      terminal.err(`placewright: ${error.message}\n`);
    } else {
      const what = error instanceof Error ? (error.stack ?? error.message) : String(error);
      terminal.err(`placewright: a fault of its own, please report it.\n${what}\n`);
    }
    return 2;
  }
}

async function dispatch(args: readonly string[], terminal: Terminal): Promise<ExitCode> {
  const [first, ...rest] = args;
  if (first === "--help") {
    terminal.out(generalHelp(commands));
    return 0;
  }
  if (first === "--version") {
    terminal.out(`${version}\n`);
    return 0;
  }
  if (first === undefined) {
    terminal.err(generalHelp(commands));
    return 2;
  }
  const command = commandNamed(first);
  const parsed = readArguments(command.name, rest, command.options);
  if (parsed.has("help")) {
    terminal.out(commandHelp(command));
    return 0;
  }
  return command.run(parsed, terminal);
}

function commandNamed(name: string): Command {
  const command = commands.find((candidate) => candidate.name === name);
  if (command) return command;
  const names = commands.map((candidate) => candidate.name);
  const known = name.startsWith("-") ? ["--help", "--version"] : names;
  const kind = name.startsWith("-") ? "option" : "command";
  throw new InputError(
    `There is no ${kind} ${name}. Did you mean ${closest(name, known)}? The commands: ${names.join(", ")}. More: placewright --help`,
  );
}
