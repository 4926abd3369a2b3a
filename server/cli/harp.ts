import { harpPresets } from "../../shared/harp/instruments.ts";
import { analyse } from "../../shared/service/analyse.ts";
import { easiestTuning, harpDemands, tuningDemands } from "../../shared/service/harpDemands.ts";
import { InputError } from "../../shared/text/problem.ts";
import type { Arguments } from "./arguments.ts";
import type { Command, ExitCode } from "./command.ts";
import { demandsText, tuningsText } from "./formats/harpText.ts";
import { readInput } from "./readInput.ts";
import { CallSettings, playerOptions } from "./settingsOf.ts";
import type { Terminal } from "./terminal.ts";
import { harpOptions, wantedHarp } from "./wantedHarp.ts";

export const harp: Command = {
  name: "harp",
  operands: "FILE",
  summary: "Tell what a score asks of the harp: tuning, levers and pedals, and what changes when.",
  description:
    "For a lever harp: which common tunings of the open strings can play the score at all, and what each costs in lever\n" +
    "changes and in the fingering; then how the levers stand at the start and when the left hand moves them. For a\n" +
    "pedal harp: the setting at the start and every move. Times for a lever or a pedal are estimates. - reads standard\n" +
    "input.",
  options: {
    ...harpOptions,
    format: { value: "FORMAT", choices: ["text", "json"], help: "How it is printed; text by default." },
    part: playerOptions.part!,
  },
  examples: ["placewright harp song.musicxml", "placewright harp song.musicxml --harp lever-36 --tuning Eb"],
  run,
};

async function run(args: Arguments, terminal: Terminal): Promise<ExitCode> {
  const [path, second] = args.operands;
  if (path === undefined) throw new InputError("Name a score: placewright harp FILE");
  if (second !== undefined) throw new InputError(`One score at a time: ${path} or ${second}.`);
  const settings = new CallSettings(args).settingsFor(path);
  const { name, text, notes } = await readInput(path, terminal);
  const wanted = wantedHarp(args, settings.instrument);
  let analysis = analyse(text, { ...settings, instrument: wanted });
  if (!analysis.harp)
    throw new InputError(`${name}: ${analysis.problems[0]?.message ?? "There is no harp in it."}`);
  for (const note of [...notes, ...analysis.assumptions]) terminal.err(`${name}: note: ${note}\n`);
  const isLever = wanted.harp.mechanism === "lever";
  const tunings = isLever ? tuningDemands(analysis, wanted.harp, wanted.levers) : [];
  const easiest = isLever ? easiestTuning(tunings) : undefined;
  if (easiest && !wanted.open) {
    analysis = analyse(text, { ...settings, instrument: { ...wanted, open: easiest.tuning } });
  }
  const demands = harpDemands(analysis)!;
  const title = harpPresets.find(({ name: preset }) => preset === args.value("harp"))?.title;
  if (args.value("format") === "json") {
    const tuning = analysis.instrument!.open?.name;
    const document = {
      version: 1,
      path: name,
      tuning,
      tunings: tunings.map(({ tuning: { name: key }, ...rest }) => ({ tuning: key, ...rest })),
      ...demands,
    };
    terminal.out(`${JSON.stringify(document, null, 2)}\n`);
    return 0;
  }
  if (easiest) terminal.out(`${tuningsText(tunings, easiest)}\n`);
  const open = analysis.instrument!.open;
  const called = title ?? (isLever ? "lever harp" : "pedal harp");
  terminal.out(`On a ${called}${open ? ` with open strings in ${open.title}` : ""}:\n`);
  terminal.out(demandsText(demands));
  return 0;
}
