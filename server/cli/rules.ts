import { closest } from "fastest-levenshtein";
import type { HouseRulePage } from "../../shared/rules/house.ts";
import { isHouseId } from "../../shared/rules/house.ts";
import { rules as builtIn } from "../../shared/rules/registry.ts";
import { InputError } from "../../shared/text/problem.ts";
import type { Arguments } from "./arguments.ts";
import type { Command, ExitCode } from "./command.ts";
import { checkText } from "./formats/checkText.ts";
import { HouseCheck, houseOptions } from "./houseCheck.ts";
import { standardInput } from "./readInput.ts";
import { CallSettings } from "./settingsOf.ts";
import type { Terminal } from "./terminal.ts";

export const rules: Command = {
  name: "rules",
  operands: "[ID]",
  summary: "List the rules, or say what one means.",
  description:
    "Without an ID: every rule, its severity and what it reports. With one: why it matters, with examples.\n" +
    "With --allow-plugins also the house rules of the present folder.",
  options: houseOptions,
  examples: ["placewright rules", `placewright rules ${builtIn[0]?.id ?? ""}`],
  run,
};

async function run(args: Arguments, terminal: Terminal): Promise<ExitCode> {
  const [id, second] = args.operands;
  if (second !== undefined) throw new InputError(`One rule at a time: ${id} or ${second}.`);
  const house = new HouseCheck(args, terminal);
  try {
    const allRules = [...builtIn, ...(await houseRules(args, house))];
    const troubles = house.takeTroubles();
    for (const file of troubles) terminal.err(checkText(file));
    terminal.out(id === undefined ? listed(allRules) : told(ruleNamed(id, allRules)));
    return troubles.length > 0 ? 2 : 0;
  } finally {
    await house.end();
  }
}

/** The house rules of the present folder. Whoever asks for a built-in rule is not told of them. */
async function houseRules(args: Arguments, house: HouseCheck): Promise<readonly HouseRulePage[]> {
  const [id] = args.operands;
  if (id !== undefined && !isHouseId(id)) return [];
  const { plugins } = new CallSettings({ value: () => undefined }).foundFor(standardInput);
  return house.pages(plugins);
}

function ruleNamed(id: string, allRules: readonly HouseRulePage[]): HouseRulePage {
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

function listed(allRules: readonly HouseRulePage[]): string {
  const width = allRules.reduce((most, { id }) => Math.max(most, id.length), 0);
  return allRules
    .map(({ id, severity, summary }) => `${id.padEnd(width)}  ${severity.padEnd(7)}  ${summary}\n`)
    .join("");
}

function told({ id, severity, summary, why, bad, good, fixes }: HouseRulePage): string {
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
