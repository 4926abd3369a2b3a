import { parseArgs } from "node:util";
import { closest } from "fastest-levenshtein";
import { InputError } from "../../shared/text/problem.ts";

/** An option of a command. */
export interface Option {
  /** What its value is, as help shows it; an option without one is a switch. */
  readonly value?: string;
  /** The only values that it takes. */
  readonly choices?: readonly string[];
  readonly help: string;
}

export type Options = Readonly<Record<string, Option>>;

/** A command's arguments as read. */
export interface Arguments {
  /** File names and the like, in order. */
  readonly operands: readonly string[];
  has(name: string): boolean;
  /** The value of an option; the last one when it was given several times. */
  value(name: string): string | undefined;
}

const everywhere: Options = { help: { help: "Print this help." } };

/** All options of a command, those that every command has included. */
export function allOptions(options: Options): Options {
  return { ...options, ...everywhere };
}

/**
 * Reads the arguments of a command.
 * @throws InputError for an unknown option (with the nearest one), a missing value, or a value that is not a choice.
 */
export function readArguments(command: string, args: readonly string[], own: Options): Arguments {
  const options = allOptions(own);
  const { tokens, positionals } = parseArgs({
    args: [...args],
    strict: false,
    allowPositionals: true,
    tokens: true,
    options: Object.fromEntries(
      Object.entries(options).map(([name, option]) => [
        name,
        { type: option.value === undefined ? ("boolean" as const) : ("string" as const) },
      ]),
    ),
  });
  const values = new Map<string, string | true>();
  for (const token of tokens) {
    if (token.kind !== "option") continue;
    const option = Object.hasOwn(options, token.name) ? options[token.name] : undefined;
    if (!option) throw unknownOption(command, token.rawName, Object.keys(options));
    if (option.value === undefined) {
      if (token.value !== undefined) throw new InputError(`${token.rawName} takes no value.`);
      values.set(token.name, true);
    } else {
      if (token.value === undefined || (!token.inlineValue && token.value.startsWith("--"))) {
        throw new InputError(`${token.rawName} needs a value: ${token.rawName} ${option.value}.`);
      }
      checkChoice(token.rawName, token.value, option.choices);
      values.set(token.name, token.value);
    }
  }
  return {
    operands: positionals,
    has: (name) => values.has(name),
    value: (name) => {
      const value = values.get(name);
      return typeof value === "string" ? value : undefined;
    },
  };
}

function unknownOption(command: string, given: string, known: readonly string[]): InputError {
  const nearest = closest(
    given,
    known.map((name) => `--${name}`),
  );
  return new InputError(
    `"${command}" has no option ${given}. Did you mean ${nearest}? All options: placewright ${command} --help`,
  );
}

function checkChoice(option: string, value: string, choices: readonly string[] | undefined): void {
  if (!choices || choices.includes(value)) return;
  throw new InputError(
    `${option} ${value} is not known. Did you mean ${closest(value, choices)}? It takes ${orList(choices)}.`,
  );
}

/** `a`, `a or b`, `a, b or c`. */
export function orList(words: readonly string[]): string {
  if (words.length < 2) return words.join("");
  return `${words.slice(0, -1).join(", ")} or ${words[words.length - 1]}`;
}
