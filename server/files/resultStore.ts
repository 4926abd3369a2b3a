import { createHash, randomBytes } from "node:crypto";
import { mkdir, readdir, readFile, rename, rm, stat, writeFile } from "node:fs/promises";
import { join } from "node:path";

/** Results older than this are forgotten, used or not: finding them again once a month costs nothing. */
const mostDays = 30;
const dayMs = 86_400_000;

/**
 * Results on the disk, each under a name made of everything that it depends on, so that none is ever out of date.
 * Several processes may use one folder at a time: a result is written aside and renamed, and what cannot be read whole,
 * as after a power cut, counts as not there.
 */
export class ResultStore {
  readonly #folder: string;
  #writable = true;

  /** @param folder of nothing else; made when the first result is kept. */
  constructor(folder: string) {
    this.#folder = folder;
  }

  /** A name for what depends on all of these. */
  static nameOf(parts: readonly (string | Uint8Array)[]): string {
    const hash = createHash("sha256");
    for (const part of parts) {
      const bytes = typeof part === "string" ? Buffer.from(part) : part;
      hash.update(`${bytes.length}:`).update(bytes);
    }
    return hash.digest("hex");
  }

  /** The text kept under a name; undefined when there is none. */
  async get(name: string): Promise<string | undefined> {
    const stored = await readFile(this.#pathOf(name), "utf8").catch(() => "");
    const text = stored.slice(checkLength + 1);
    return stored.length > checkLength && stored.slice(0, checkLength) === checkOf(text) ? text : undefined;
  }

  /** Keeps a text. A folder that cannot be written is no error: everything is found anew then. */
  async put(name: string, text: string): Promise<void> {
    if (!this.#writable) return;
    const path = this.#pathOf(name);
    const aside = `${path}.${randomBytes(6).toString("hex")}.tmp`;
    try {
      await mkdir(join(this.#folder, name.slice(0, 2)), { recursive: true });
      await writeFile(aside, `${checkOf(text)}\n${text}`);
      await rename(aside, path);
    } catch {
      this.#writable = false;
      await rm(aside, { force: true }).catch(() => undefined);
    }
  }

  /** False once a result could not be kept. */
  get isWritable(): boolean {
    return this.#writable;
  }

  /**
   * Removes what is old, and what a process left that was killed while it wrote; at most once a day.
   * @param now in milliseconds since 1970.
   */
  async tidy(now: number): Promise<void> {
    const marker = join(this.#folder, "tidied");
    const last = await stat(marker).catch(() => undefined);
    if (last && now - last.mtimeMs < dayMs) return;
    await writeFile(marker, "").catch(() => undefined);
    for (const group of await readdir(this.#folder).catch(() => [])) {
      if (!/^[0-9a-f]{2}$/.test(group)) continue;
      for (const name of await readdir(join(this.#folder, group)).catch(() => [])) {
        const path = join(this.#folder, group, name);
        const days = name.endsWith(".tmp") ? 1 : mostDays;
        const nature = await stat(path).catch(() => undefined);
        if (nature && now - nature.mtimeMs > days * dayMs)
          await rm(path, { force: true }).catch(() => undefined);
      }
    }
  }

  #pathOf(name: string): string {
    return join(this.#folder, name.slice(0, 2), name);
  }
}

const checkLength = 16;

function checkOf(text: string): string {
  return createHash("sha256").update(text).digest("hex").slice(0, checkLength);
}
