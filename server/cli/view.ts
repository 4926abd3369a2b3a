import { existsSync, statSync } from "node:fs";
import { dirname, join, resolve } from "node:path";
import { InputError } from "../../shared/text/problem.ts";
import { servePanel } from "../view/panelServer.ts";
import { ViewedScores } from "../view/viewedScores.ts";
import type { Command } from "./command.ts";
import { findScores } from "./findScores.ts";
import type { CheckedFile } from "./formats/checked.ts";
import { checkText } from "./formats/checkText.ts";
import { HouseCheck, houseOptions } from "./houseCheck.ts";
import { PostedThread } from "./posted/postedThread.ts";
import { CallSettings, playerOptions } from "./settingsOf.ts";

export const view: Command = {
  name: "view",
  operands: "PATH",
  summary: "Show scores in a browser: the music, the hands on the strings, what comes back.",
  description:
    "Serves a page on this machine only and prints its address: open it in a browser. It follows the files: what\n" +
    "another program saves shows at once. A folder shows a list of its scores. Nothing is written unless a button on\n" +
    "the page says so. At the same address programs have scores checked and fingered: v1/openapi.json after it tells\n" +
    "how. Stop it with Ctrl+C.",
  options: { ...houseOptions, ...playerOptions },
  examples: ["placewright view song.musicxml", "placewright view scores/"],
  async run(args, terminal) {
    const [path, second] = args.operands;
    if (path === undefined) throw new InputError("Name a score or a folder to show: placewright view PATH");
    if (second !== undefined) throw new InputError(`One score or folder at a time: ${path} or ${second}.`);
    const { program } = terminal;
    if (program === undefined) throw new InputError("Only the built program shows scores: npm run build");
    if (!existsSync(join(__dirname, "panel.js"))) {
      throw new InputError(`The page is missing: there is no panel.js in ${__dirname}. Run npm run build.`);
    }
    const settings = new CallSettings(args);
    const house = new HouseCheck(args, terminal);
    const takeTroubles = (): readonly CheckedFile[] => {
      const troubles = house.takeTroubles();
      for (const file of troubles) terminal.err(checkText(file));
      return troubles;
    };
    const scores = new ViewedScores(path, filesAt, (file) => settings.foundFor(file), {
      async settingsWith({ settings: chosen, plugins = [] }, bytes) {
        const withHouse = await house.settingsWith({ settings: chosen, plugins }, bytes);
        takeTroubles();
        return withHouse;
      },
      stampOf: ({ plugins = [] }) => house.stampOf({ plugins }),
    });
    await scores.list();
    const folder = statSync(path).isDirectory() ? resolve(path) : dirname(resolve(path));
    const work = new PostedThread({ program, folder, settings, house, takeTroubles });
    const server = await servePanel(scores, {
      pageFolder: __dirname,
      work,
      log: (message) => terminal.err(`placewright: ${message}\n`),
    });
    terminal.out(`${server.address}\n`);
    terminal.err("Open this address in a browser. Stop with Ctrl+C.\n");
    await new Promise<void>((resolve) => {
      process.once("SIGINT", resolve);
      process.once("SIGTERM", resolve);
    });
    await server.close();
    await Promise.all([work.end(), house.end()]);
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
