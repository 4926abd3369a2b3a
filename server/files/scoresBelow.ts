import { open, readdir, stat } from "node:fs/promises";
import { join } from "node:path";
import { isScore, rootName } from "../../shared/musicxml/rootName.ts";

/** Which scores are sought. */
export interface ScoreSearch {
  /** Whether `.mxl` files count too. */
  readonly compressed: boolean;
  /** Whether what cannot be opened is left out; else it is thrown. */
  readonly lenient: boolean;
}

/**
 * The score files below a folder, in the order of their names: every `.musicxml`, every `.xml` that is a score, and
 * `.mxl` where wanted. Hidden files and folders and `node_modules` are left out.
 */
export async function scoresBelow(folder: string, search: ScoreSearch): Promise<string[]> {
  const entries = await readdir(folder, { withFileTypes: true }).catch((error) =>
    nothingIf(search, error, []),
  );
  entries.sort((a, b) => (a.name < b.name ? -1 : a.name > b.name ? 1 : 0));
  const found: string[] = [];
  for (const entry of entries) {
    if (entry.name.startsWith(".") || entry.name === "node_modules") continue;
    const path = join(folder, entry.name);
    // A link to a folder is not followed: it may lead round in a circle.
    if (entry.isDirectory()) found.push(...(await scoresBelow(path, search)));
    else if (await isScoreFile(path, search)) found.push(path);
  }
  return found;
}

function nothingIf<T>({ lenient }: ScoreSearch, error: unknown, nothing: T): T {
  if (!lenient) throw error;
  return nothing;
}

async function isScoreFile(path: string, search: ScoreSearch): Promise<boolean> {
  if (!(search.compressed ? /\.(musicxml|mxl|xml)$/i : /\.(musicxml|xml)$/i).test(path)) return false;
  const nature = await stat(path).catch(() => undefined);
  if (!nature?.isFile()) return false;
  if (!/\.xml$/i.test(path)) return true;
  const text = await beginning(path).catch((error) => nothingIf(search, error, ""));
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
