import { closest } from "fastest-levenshtein";
import type { Rule } from "../../shared/rules/define.ts";
import { rules as allRules } from "../../shared/rules/registry.ts";
import { InputError } from "../../shared/text/problem.ts";
import type { Arguments } from "./arguments.ts";
import type { Command, ExitCode } from "./command.ts";
import type { Terminal } from "./terminal.ts";

export const rules: Command = {
  name: "rules",
  operands: "[ID]",
  summary: "List the rules, or say what one means.",
  description:
    "Without an ID: every rule, its severity and what it reports. With one: why it matters, with examples.",
  options: {},
  examples: ["placewright rules", `placewright rules ${allRules[0]?.id ?? ""}`],
  run,
};

async function run({ operands }: Arguments, terminal: Terminal): Promise<ExitCode> {
  const [id, second] = operands;
  if (second !== undefined) throw new InputError(`One rule at a time: ${id} or ${second}.`);
  terminal.out(id === undefined ? listed() : told(ruleNamed(id)));
  return 0;
}

function ruleNamed(id: string): Rule {
  const rule = allRules.find((candidate) => candidate.id === id);
  if (rule) return rule;
  const nearest = closest(
    id,
    allRules.map((candidate) => candidate.id),
  );
  throw new InputError(
    `There is no rule ${JSON.stringify(id)}. Did you mean ${nearest}? All: placewright rules`,
  );
}

function listed(): string {
  const width = allRules.reduce((most, { id }) => Math.max(most, id.length), 0);
  return allRules
    .map(({ id, severity, summary }) => `${id.padEnd(width)}  ${severity.padEnd(7)}  ${summary}\n`)
    .join("");
}

function told({ id, severity, summary, why, bad, good, fixes }: Rule): string {
  return [
    `${id} (${severity})`,
    "",
    summary,
    why,
    "",
    "Reported:",
    ...indented(bad),
    "Not reported:",
    ...indented(good),
    ...(fixes.length > 0 ? ["Offered in an editor:", ...fixes.map(({ title }) => `  ${title}`)] : []),
    "",
  ].join("\n");
}

function indented(example: string): string[] {
  return example.split("\n").map((line) => `  ${line}`);
}
