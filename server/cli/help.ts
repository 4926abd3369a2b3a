import { allOptions, orList } from "./arguments.ts";
import type { Command } from "./command.ts";

/** What `placewright --help` prints. */
export function generalHelp(commands: readonly Command[]): string {
  const rows = commands.map(
    ({ name, operands, summary }) => [`${name} ${operands}`.trim(), summary] as const,
  );
  return [
    "Checks the fingering and placing brackets of harp scores in MusicXML, and finds the best fingering.",
    "",
    "Usage: placewright COMMAND [OPTIONS]",
    "",
    ...table(rows),
    "",
    ...table([
      ["COMMAND --help", "What a command does, its options and examples."],
      ["--version", "Print the version."],
    ]),
    "",
    "Exit codes: 0 nothing found, 1 findings, 2 something could not be read or the call was wrong.",
    "",
  ].join("\n");
}

/** What `placewright COMMAND --help` prints. */
export function commandHelp(command: Command): string {
  const options = Object.entries(allOptions(command.options)).map(([name, { value, choices, help }]) => {
    const takes = choices ? ` One of: ${orList(choices)}.` : "";
    return [value === undefined ? `--${name}` : `--${name} ${value}`, `${help}${takes}`] as const;
  });
  return [
    `Usage: placewright ${`${command.name} ${command.operands}`.trim()} [OPTIONS]`,
    "",
    command.description,
    "",
    ...table(options),
    ...(command.examples.length > 0 ? ["", "Examples:", ...command.examples.map((line) => `  ${line}`)] : []),
    "",
  ].join("\n");
}

const mostColumns = 110;

/** Two columns; what is too long for the second goes on below it. */
function table(rows: readonly (readonly [left: string, right: string])[]): string[] {
  const width = rows.reduce((most, [left]) => Math.max(most, left.length), 0);
  return rows.flatMap(([left, right]) =>
    wrapped(right, mostColumns - width - 4).map(
      (line, i) => `  ${(i === 0 ? left : "").padEnd(width)}  ${line}`,
    ),
  );
}

function wrapped(text: string, columns: number): string[] {
  const lines: string[] = [];
  let line = "";
  for (const word of text.split(" ")) {
    if (line !== "" && line.length + 1 + word.length > columns) {
      lines.push(line);
      line = word;
    } else {
      line = line === "" ? word : `${line} ${word}`;
    }
  }
  return [...lines, line];
}
