import { open, readdir, stat } from "node:fs/promises";
import { join } from "node:path";
import { isScore, rootName } from "../../shared/musicxml/rootName.ts";
import { IgnoredByGit } from "./ignoredByGit.ts";

/** Which scores are sought. */
export interface ScoreSearch {
  /** Whether `.mxl` files count too. */
  readonly compressed: boolean;
  /** Whether what cannot be opened is left out; else it is thrown, unless `onTrouble` takes it. */
  readonly lenient: boolean;
  /** Told of each file or folder that cannot be opened; the search goes on. */
  readonly onTrouble?: (path: string, error: unknown) => void;
  /** Also those that a `.gitignore` leaves out. */
  readonly ignored?: boolean;
}

/**
 * The score files below a folder, in the order of their names: every `.musicxml`, every `.xml` that is a score, and
 * `.mxl` where wanted. Hidden files and folders, `node_modules` and what a `.gitignore` names are left out.
 */
export function scoresBelow(folder: string, search: ScoreSearch): Promise<string[]> {
  const ignored = search.ignored ? undefined : new IgnoredByGit(folder);
  return searched(folder, search, (path, isFolder) => ignored?.has(path, isFolder) ?? false);
}

async function searched(
  folder: string,
  search: ScoreSearch,
  isLeftOut: (path: string, isFolder: boolean) => boolean,
): Promise<string[]> {
  const entries = await readdir(folder, { withFileTypes: true }).catch((error) =>
    nothingIf(search, folder, error, []),
  );
  entries.sort((a, b) => (a.name < b.name ? -1 : a.name > b.name ? 1 : 0));
  const found: string[] = [];
  for (const entry of entries) {
    if (entry.name.startsWith(".") || entry.name === "node_modules") continue;
    const path = join(folder, entry.name);
    // A link to a folder is not followed: it may lead round in a circle.
    if (entry.isDirectory()) {
      if (!isLeftOut(path, true)) found.push(...(await searched(path, search, isLeftOut)));
    } else if (hasScoreName(path, search) && !isLeftOut(path, false) && (await isScoreFile(path, search))) {
      found.push(path);
    }
  }
  return found;
}

function nothingIf<T>({ lenient, onTrouble }: ScoreSearch, path: string, error: unknown, nothing: T): T {
  if (onTrouble) onTrouble(path, error);
  else if (!lenient) throw error;
  return nothing;
}

function hasScoreName(path: string, { compressed }: ScoreSearch): boolean {
  return (compressed ? /\.(musicxml|mxl|xml)$/i : /\.(musicxml|xml)$/i).test(path);
}

async function isScoreFile(path: string, search: ScoreSearch): Promise<boolean> {
  const nature = await stat(path).catch(() => undefined);
  if (!nature?.isFile()) return false;
  if (!/\.xml$/i.test(path)) return true;
  const text = await beginning(path).catch((error) => nothingIf(search, path, error, ""));
  return isScore(rootName(text));
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
