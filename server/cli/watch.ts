import { mkdir } from "node:fs/promises";
import { dirname, join, relative, resolve } from "node:path";
import { decodeScoreFile, encodeScoreFile } from "../../shared/musicxml/scoreFile.ts";
import { analyse } from "../../shared/service/analyse.ts";
import { stopOnPain } from "../../shared/service/cautions.ts";
import { fingeredText, fingerScore } from "../../shared/service/fingerScore.ts";
import type { Settings } from "../../shared/service/settings.ts";
import { counted } from "../../shared/service/words.ts";
import { InputError } from "../../shared/text/problem.ts";
import { fileTrouble } from "../files/fileTrouble.ts";
import { replaceFile } from "../files/replaceFile.ts";
import { isBelow, ScoreWatch } from "../files/scoreWatch.ts";
import { checkScore } from "./checking/checkScore.ts";
import type { Command } from "./command.ts";
import { checkText } from "./formats/checkText.ts";
import { HouseCheck, houseOptions } from "./houseCheck.ts";
import { CallSettings, playerOptions } from "./settingsOf.ts";
import type { Terminal } from "./terminal.ts";

export const watch: Command = {
  name: "watch",
  operands: "FOLDER",
  summary: "Check each score of a folder when it is saved, and write a fingered copy beside it if wanted.",
  description:
    "Waits for another program to save or export scores into a folder, and prints the findings of each. With\n" +
    "--write-to a fingered copy goes into another folder under the same name; the score itself is never changed. Stop\n" +
    "it with Ctrl+C.",
  options: {
    "write-to": { value: "FOLDER", help: "Where fingered copies go; what is printed is kept in them." },
    ...houseOptions,
    ...playerOptions,
  },
  examples: ["placewright watch exports", "placewright watch exports --write-to fingered"],
  async run(args, terminal) {
    const [folder, second] = args.operands;
    if (folder === undefined) throw new InputError("Name a folder to watch: placewright watch FOLDER");
    if (second !== undefined) throw new InputError(`One folder at a time: ${folder} or ${second}.`);
    const target = args.value("write-to");
    if (target !== undefined && isBelow(folder, resolve(target))) {
      throw new InputError(
        `--write-to ${target}: copies there would take the place of the scores. Name another folder.`,
      );
    }
    const settings = new CallSettings(args);
    const house = new HouseCheck(args, terminal);
    const scores = new ScoreWatch(folder, {
      leftOut: target,
      onSaved: async (path, bytes) => {
        const score = { path, bytes, settings: await house.settingsWith(settings.foundFor(path), bytes) };
        for (const file of house.takeTroubles()) terminal.out(checkText(file));
        await tellOf(score, target && join(target, relative(resolve(folder), path)), terminal);
      },
    });
    const count = await scores.start().catch((error: unknown) => {
      throw new InputError(fileTrouble(error, folder));
    });
    terminal.err(`Watching ${counted(count, "score")} in ${folder}. Stop with Ctrl+C.\n`);
    if (target !== undefined) terminal.err(`${stopOnPain}\n`);
    await new Promise<void>((stop) => {
      process.once("SIGINT", stop);
      process.once("SIGTERM", stop);
    });
    await scores.close();
    await house.end();
    return 0;
  },
};

interface SavedScore {
  readonly path: string;
  readonly bytes: Uint8Array;
  readonly settings: Settings;
}

/** Prints what is found, and writes the copy. Never throws: the next save may put right what is wrong with this one. */
async function tellOf(score: SavedScore, copy: string | undefined, terminal: Terminal): Promise<void> {
  const shown = relative(process.cwd(), score.path);
  const { file } = checkScore({ ...score, path: shown, withLevel: false });
  const count = file.problems.length + file.findings.length;
  terminal.out(
    `${checkText(file)}${shown}: saved, ${count === 0 ? "nothing found" : counted(count, "finding")}.\n`,
  );
  if (copy === undefined || file.problems.some(({ severity }) => severity === "error")) return;
  try {
    await writeCopy(score, copy);
    terminal.out(`${shown}: a fingered copy is in ${relative(process.cwd(), copy)}.\n`);
  } catch (error) {
    const what = error instanceof Error ? error.message : String(error);
    terminal.err(`${shown}: no copy was written: ${what}\n`);
  }
}

async function writeCopy({ bytes, settings }: SavedScore, copy: string): Promise<void> {
  const file = decodeScoreFile(bytes);
  const analysis = analyse(file.text, settings);
  const text = fingeredText(analysis, fingerScore(analysis, { mode: "keep" }));
  await mkdir(dirname(copy), { recursive: true });
  await replaceFile(copy, encodeScoreFile(file, text));
}
