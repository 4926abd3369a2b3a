import { open, readdir, stat } from "node:fs/promises";
import { join } from "node:path";
import { isScore, rootName } from "../../shared/musicxml/rootName.ts";

/**
 * The uncompressed score files below a folder, in the order of their names: every `.musicxml`, and every `.xml` that is
 * a score. Hidden files and folders, `node_modules`, and what cannot be looked into are left out.
 */
export async function scoresBelow(folder: string): Promise<string[]> {
  const entries = await readdir(folder, { withFileTypes: true }).catch(() => []);
  entries.sort((a, b) => (a.name < b.name ? -1 : a.name > b.name ? 1 : 0));
  const found: string[] = [];
  for (const entry of entries) {
    if (entry.name.startsWith(".") || entry.name === "node_modules") continue;
    const path = join(folder, entry.name);
    // A link to a folder is not followed: it may lead round in a circle.
    if (entry.isDirectory()) found.push(...(await scoresBelow(path)));
    else if (await isTextScore(path)) found.push(path);
  }
  return found;
}

async function isTextScore(path: string): Promise<boolean> {
  if (!/\.(musicxml|xml)$/i.test(path)) return false;
  const nature = await stat(path).catch(() => undefined);
  if (!nature?.isFile()) return false;
  return !/\.xml$/i.test(path) || isScore(rootName(await beginning(path)));
}

const beginningBytes = 16_384;

/** The first characters of a file. All that counts here is ASCII; UTF-16 has a zero byte beside each. */
async function beginning(path: string): Promise<string> {
  const file = await open(path, "r").catch(() => undefined);
  if (!file) return "";
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
