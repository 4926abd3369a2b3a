import { existsSync, readFileSync } from "node:fs";
import { dirname, join, relative, resolve, sep } from "node:path";
import ignore, { type Ignore } from "ignore";

/**
 * Tells what the `.gitignore` files of a folder, of those below it, and of those above it up to the root of its
 * repository leave out. A nearer file goes before one further up, as git has it.
 */
export class IgnoredByGit {
  readonly #root: string;
  readonly #known = new Map<string, Ignore | undefined>();

  /** @param folder in which scores are sought. */
  constructor(folder: string) {
    const start = resolve(folder);
    this.#root = repositoryOf(start) ?? start;
  }

  /** @param path of something in the folder or below it; what lies in a folder that is left out is not asked about. */
  has(path: string, isFolder: boolean): boolean {
    const whole = resolve(path);
    for (let folder = dirname(whole); ; folder = dirname(folder)) {
      const patterns = this.#patternsIn(folder);
      if (patterns) {
        const here = `${relative(folder, whole).split(sep).join("/")}${isFolder ? "/" : ""}`;
        const { ignored, unignored } = patterns.test(here);
        if (ignored || unignored) return ignored;
      }
      if (folder === this.#root || dirname(folder) === folder) return false;
    }
  }

  #patternsIn(folder: string): Ignore | undefined {
    if (!this.#known.has(folder)) this.#known.set(folder, patternsOf(join(folder, ".gitignore")));
    return this.#known.get(folder);
  }
}

/** The nearest folder that holds a `.git`, which is a file in a linked work tree. */
function repositoryOf(start: string): string | undefined {
  for (let folder = start; ; folder = dirname(folder)) {
    if (existsSync(join(folder, ".git"))) return folder;
    if (dirname(folder) === folder) return undefined;
  }
}

function patternsOf(path: string): Ignore | undefined {
  try {
    return ignore().add(readFileSync(path, "utf8"));
  } catch {
    // Not there, or not to be read: nothing is left out for its sake.
    return undefined;
  }
}
