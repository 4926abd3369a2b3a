import { open, readdir, stat } from "node:fs/promises";
import { join, resolve } from "node:path";
import { isScore, rootName } from "../../shared/musicxml/rootName.ts";
import { InputError } from "../../shared/text/problem.ts";
import { fileTrouble } from "../files/fileTrouble.ts";
import { standardInput } from "./readInput.ts";

/** What a path on the command line comes to: files to read, or why there are none. */
export interface FoundScores {
  readonly files: readonly string[];
  readonly troubles: readonly { readonly path: string; readonly message: string }[];
}

/**
 * The score files that paths name: a file stands for itself, a folder for every `.musicxml` and `.mxl` below it and
 * every `.xml` that is a score, in the order of their names. Hidden files and folders and `node_modules` are left
 * out. A file is named once, however often the paths reach it.
 */
export async function findScores(paths: readonly string[]): Promise<FoundScores> {
  const files = new Map<string, string>();
  const troubles: { path: string; message: string }[] = [];
  for (const path of paths) {
    try {
      for (const file of await scoresAt(path)) {
        const whole = file === standardInput ? file : resolve(file);
        if (!files.has(whole)) files.set(whole, file);
      }
    } catch (error) {
      troubles.push({
        path,
        message: error instanceof InputError ? error.message : fileTrouble(error, path),
      });
    }
  }
  return { files: [...files.values()], troubles };
}

async function scoresAt(path: string): Promise<string[]> {
  if (path === standardInput || !(await stat(path)).isDirectory()) return [path];
  const found = await scoresBelow(path);
  if (found.length === 0) {
    throw new InputError(`There is no score (.musicxml, .mxl, or .xml with a score in it) below ${path}.`);
  }
  return found;
}

async function scoresBelow(folder: string): Promise<string[]> {
  const entries = await readdir(folder, { withFileTypes: true });
  entries.sort((a, b) => (a.name < b.name ? -1 : a.name > b.name ? 1 : 0));
  const found: string[] = [];
  for (const entry of entries) {
    if (entry.name.startsWith(".") || entry.name === "node_modules") continue;
    const path = join(folder, entry.name);
    // A link to a folder is not followed: it may lead round in a circle.
    if (entry.isDirectory()) found.push(...(await scoresBelow(path)));
    else if (await isScoreFile(path)) found.push(path);
  }
  return found;
}

async function isScoreFile(path: string): Promise<boolean> {
  if (!/\.(musicxml|mxl|xml)$/i.test(path)) return false;
  const nature = await stat(path).catch(() => undefined);
  if (!nature?.isFile()) return false;
  return !/\.xml$/i.test(path) || isScore(rootName(await beginning(path)));
}

const beginningBytes = 16_384;

/** The first characters of a file. All that counts here is ASCII; UTF-16 has a zero byte beside each. */
async function beginning(path: string): Promise<string> {
  const file = await open(path, "r");
  try {
    const { buffer, bytesRead } = await file.read(Buffer.alloc(beginningBytes), 0, beginningBytes, 0);
    const ascii = buffer.toString("latin1", 0, bytesRead).replaceAll("\0", "");
    return ascii.replace(byteOrderMark, "");
  } finally {
    await file.close();
  }
}

/** Of UTF-8 and of UTF-16, each byte as one character. */
const byteOrderMark = /^(?:\u00ef\u00bb\u00bf|\u00fe\u00ff|\u00ff\u00fe)/;
