import { stat } from "node:fs/promises";
import { join, relative, resolve, sep } from "node:path";
import picomatch from "picomatch/posix";
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
 * every `.xml` that is a score, in the order of their names, and a pattern such as `suites/**\/*.mxl` for those of them
 * that fit. Hidden files and folders, `node_modules` and what a `.gitignore` names are left out. A file is named once,
 * however often the paths reach it. What cannot be opened is told, and the rest is found all the same.
 */
export async function findScores(
  paths: readonly string[],
  { ignored = false }: { readonly ignored?: boolean } = {},
): Promise<FoundScores> {
  const files = new Map<string, string>();
  const troubles: { path: string; message: string }[] = [];
  const onTrouble = (path: string, error: unknown): void => {
    troubles.push({ path, message: error instanceof InputError ? error.message : fileTrouble(error, path) });
  };
  for (const path of paths) {
    try {
      for (const file of await scoresAt(path, { compressed: true, lenient: false, onTrouble, ignored })) {
        const whole = file === standardInput ? file : resolve(file);
        if (!files.has(whole)) files.set(whole, file);
      }
    } catch (error) {
      onTrouble(path, error);
    }
  }
  return { files: [...files.values()], troubles };
}

type Search = Parameters<typeof scoresBelow>[1];

async function scoresAt(path: string, search: Search): Promise<string[]> {
  if (path === standardInput) return [path];
  const nature = await stat(path).catch((error) => {
    if (isPattern(path)) return undefined;
    throw error;
  });
  if (!nature) return matching(path, search);
  if (!nature.isDirectory()) return [path];
  const found = await scoresBelow(path, search);
  if (found.length === 0) {
    throw new InputError(`There is no score (.musicxml, .mxl, or .xml with a score in it) below ${path}.`);
  }
  return found;
}

/** A pattern for scores. A shell leaves it as it is when it stands in quotes, and some shells always. */
export function isPattern(path: string): boolean {
  return picomatch.scan(path).isGlob;
}

async function matching(pattern: string, search: Search): Promise<string[]> {
  const slashed = sep === "\\" ? pattern.replaceAll("\\", "/") : pattern;
  const { base, glob } = picomatch.scan(slashed);
  const folder = base === "" ? "." : base;
  const fits = picomatch(glob);
  const below = await scoresBelow(folder, search);
  const found = below.filter((file) => fits(relative(folder, file).split(sep).join("/")));
  if (found.length === 0)
    throw new InputError(`No score fits ${pattern}. Check the pattern, or name a folder.`);
  return base === "" ? found.map((file) => join(file)) : found;
}
