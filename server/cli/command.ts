import type { Arguments, Options } from "./arguments.ts";
import type { Terminal } from "./terminal.ts";

/** 0: nothing at or above the threshold; 1: findings; 2: something could not be read, or the call was wrong. */
export type ExitCode = 0 | 1 | 2;

/** One command of the command line. */
export interface Command {
  readonly name: string;
  /** What stands after the name: `PATH...`. */
  readonly operands: string;
  /** One line for the list of commands. */
  readonly summary: string;
  /** A paragraph for its own help. */
  readonly description: string;
  readonly options: Options;
  readonly examples: readonly string[];
  /** @throws InputError when the call is wrong or a file cannot be used. */
  run(args: Arguments, terminal: Terminal): Promise<ExitCode>;
}
