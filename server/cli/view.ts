import { existsSync } from "node:fs";
import { join } from "node:path";
import { InputError } from "../../shared/text/problem.ts";
import { servePanel } from "../view/panelServer.ts";
import { ViewedScores } from "../view/viewedScores.ts";
import type { Command } from "./command.ts";
import { findScores } from "./findScores.ts";
import { CallSettings, playerOptions } from "./settingsOf.ts";

export const view: Command = {
  name: "view",
  operands: "PATH",
  summary: "Show scores in a browser: the music, the hands on the strings, what comes back.",
  description:
    "Serves a page on this machine only and prints its address: open it in a browser. It follows the files: what\n" +
    "another program saves shows at once. A folder shows a list of its scores. Nothing is written unless a button on\n" +
    "the page says so. Stop it with Ctrl+C.",
  options: playerOptions,
  examples: ["placewright view song.musicxml", "placewright view scores/"],
  async run(args, terminal) {
    const [path, second] = args.operands;
    if (path === undefined) throw new InputError("Name a score or a folder to show: placewright view PATH");
    if (second !== undefined) throw new InputError(`One score or folder at a time: ${path} or ${second}.`);
    if (!existsSync(join(__dirname, "panel.js"))) {
      throw new InputError(`The page is missing: there is no panel.js in ${__dirname}. Run npm run build.`);
    }
    const settings = new CallSettings(args);
    const scores = new ViewedScores(path, filesAt, (file) => settings.foundFor(file));
    await scores.list();
    const server = await servePanel(scores, {
      pageFolder: __dirname,
      log: (message) => terminal.err(`placewright: ${message}\n`),
    });
    terminal.out(`${server.address}\n`);
    terminal.err("Open this address in a browser. Stop with Ctrl+C.\n");
    await new Promise<void>((resolve) => {
      process.once("SIGINT", resolve);
      process.once("SIGTERM", resolve);
    });
    await server.close();
    return 0;
  },
};

/** @throws InputError when there is no score at the path. */
async function filesAt(path: string): Promise<readonly string[]> {
  const { files, troubles } = await findScores([path]);
  const [trouble] = troubles;
  if (files.length === 0 && trouble) throw new InputError(trouble.message);
  return files;
}
