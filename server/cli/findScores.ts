import { stat } from "node:fs/promises";
import { resolve } from "node:path";
import { InputError } from "../../shared/text/problem.ts";
import { fileTrouble } from "../files/fileTrouble.ts";
import { scoresBelow } from "../files/scoresBelow.ts";
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
  const found = await scoresBelow(path, { compressed: true, lenient: false });
  if (found.length === 0) {
    throw new InputError(`There is no score (.musicxml, .mxl, or .xml with a score in it) below ${path}.`);
  }
  return found;
}
