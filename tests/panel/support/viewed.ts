import { copyFileSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { basename, join } from "node:path";
import { findScores } from "../../../server/cli/findScores.ts";
import { HouseCheck } from "../../../server/cli/houseCheck.ts";
import { PostedThread } from "../../../server/cli/posted/postedThread.ts";
import { CallSettings } from "../../../server/cli/settingsOf.ts";
import { SettingsFiles } from "../../../server/files/settingsFiles.ts";
import type { Limits } from "../../../server/view/limits.ts";
import { type PanelServer, servePanel } from "../../../server/view/panelServer.ts";
import { ViewedScores } from "../../../server/view/viewedScores.ts";
import { builtFile, projectFolder } from "../../support/built.ts";

/** A folder with copies of scores, served. */
export interface ViewedFolder {
  readonly folder: string;
  readonly server: PanelServer;
  /** Faults that the server logged. */
  readonly faults: readonly string[];
  read(name: string): string;
  write(name: string, text: string): void;
  close(): Promise<void>;
}

/** @param files paths of scores to copy into the folder. */
export async function viewFolder(
  files: readonly string[],
  limits?: Partial<Limits & { readonly workMs: number }>,
): Promise<ViewedFolder> {
  const folder = mkdtempSync(join(tmpdir(), "placewright-view-"));
  for (const file of files) copyFileSync(file, join(folder, basename(file)));
  const settings = new SettingsFiles();
  const scores = new ViewedScores(
    folder,
    async (path) => (await findScores([path])).files,
    (path) => settings.settingsFor(path),
  );
  const faults: string[] = [];
  const noArguments = { has: () => false, value: () => undefined };
  const work = new PostedThread({
    program: builtFile("cli.cjs"),
    folder,
    settings: new CallSettings(noArguments),
    house: new HouseCheck(noArguments, { out: () => undefined, err: () => undefined, readInput: unread }),
    takeTroubles: () => [],
    workMs: limits?.workMs,
  });
  const server = await servePanel(scores, {
    pageFolder: join(projectFolder, "dist"),
    work,
    limits,
    log: (message) => faults.push(message),
  });
  return {
    folder,
    server,
    faults,
    read: (name) => readFileSync(join(folder, name), "utf8"),
    write: (name, text) => writeFileSync(join(folder, name), text),
    async close() {
      await server.close();
      await work.end();
      rmSync(folder, { recursive: true });
    },
  };
}

async function unread(): Promise<never> {
  throw new Error("nothing is read from a terminal here");
}

export function demoPath(name: string): string {
  return join(projectFolder, "fixtures", "demo", name);
}

export const demoNames = [
  "evening-tide.musicxml",
  "lantern-waltz.musicxml",
  "millrace-reel.musicxml",
] as const;

/** A real harp part: in a symphonic piece of the corpus, which lies beside the project where there is one. */
export const realScorePath = join(projectFolder, "../shared/corpus/hauptstimme/D_un_matin_de_printemps.mxl");
