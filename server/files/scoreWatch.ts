import { createHash } from "node:crypto";
import { type FSWatcher, watch } from "node:fs";
import { readFile, stat } from "node:fs/promises";
import { relative, resolve, sep } from "node:path";
import { scoresBelow } from "./scoresBelow.ts";

/** What a watch is told to do. */
export interface ScoreWatchOptions {
  /** A folder whose files are not looked at: results are written there, say. */
  readonly leftOut?: string;
  /** Called with each state in which a score came to rest, one after the other. */
  readonly onSaved: (path: string, bytes: Uint8Array) => Promise<void>;
}

/** So long nothing must happen before the files are looked at: programs save in bursts. */
const quietMs = 120;
/** Where the system tells nothing, as on some network drives, changes are found by looking all the same. */
const pollMs = 2_000;
/** A file that ends in the middle is left alone for so long, as its program may still be writing it. */
const cutMs = 3_000;

/** A file as it was when it was looked at last. */
interface Known {
  readonly stamp: string;
  readonly content: string;
}

/**
 * Watches the scores below a folder. Each state in which a file comes to rest is told once: not what it already was,
 * not a file that is still being written, not the same content saved again.
 */
export class ScoreWatch {
  readonly #folder: string;
  readonly #options: ScoreWatchOptions;
  readonly #known = new Map<string, Known>();
  #watcher: FSWatcher | undefined;
  #timer: NodeJS.Timeout | undefined;
  #poll: NodeJS.Timeout | undefined;
  #looking: Promise<void> = Promise.resolve();
  #closed = false;

  constructor(folder: string, options: ScoreWatchOptions) {
    this.#folder = resolve(folder);
    this.#options = options;
  }

  /**
   * Takes note of what is there; from then on changes are told.
   * @returns how many scores there are.
   * @throws the system's error when the folder cannot be read.
   */
  async start(): Promise<number> {
    await stat(this.#folder);
    const paths = await this.#paths();
    for (const path of paths) {
      const found = await settled(path);
      if (found) this.#known.set(path, { stamp: found.stamp, content: digest(found.bytes) });
    }
    this.#watcher = watch(this.#folder, { recursive: true }, () => this.#lookSoon(quietMs));
    // Without the system's word the slow look remains.
    this.#watcher.on("error", () => this.#watcher?.close());
    this.#poll = setInterval(() => this.#lookSoon(0), pollMs);
    return paths.length;
  }

  /** Ends the watch; resolved when what was being handled is done. */
  async close(): Promise<void> {
    this.#closed = true;
    clearTimeout(this.#timer);
    clearInterval(this.#poll);
    this.#watcher?.close();
    await this.#looking;
  }

  #lookSoon(waitMs: number): void {
    if (this.#closed || (waitMs === 0 && this.#timer)) return;
    clearTimeout(this.#timer);
    this.#timer = setTimeout(() => {
      this.#timer = undefined;
      this.#looking = this.#looking.then(() => this.#look());
    }, waitMs);
  }

  async #look(): Promise<void> {
    for (const path of await this.#paths()) {
      if (this.#closed) return;
      const stamp = await stampOf(path);
      const known = this.#known.get(path);
      if (stamp === undefined || stamp === known?.stamp) continue;
      const found = await settled(path);
      if (!found || (isCut(found.bytes) && Date.now() - found.changedMs < cutMs)) {
        this.#lookSoon(quietMs);
        continue;
      }
      const content = digest(found.bytes);
      this.#known.set(path, { stamp: found.stamp, content });
      if (content !== known?.content) await this.#options.onSaved(path, found.bytes);
    }
  }

  async #paths(): Promise<string[]> {
    const paths = await scoresBelow(this.#folder, { compressed: true, lenient: true }).catch(() => []);
    const { leftOut } = this.#options;
    return leftOut === undefined ? paths : paths.filter((path) => !isBelow(path, resolve(leftOut)));
  }
}

/** True for a folder's own path and for all that lies in it. */
export function isBelow(path: string, folder: string): boolean {
  const way = relative(folder, resolve(path));
  return way === "" || (way !== ".." && !way.startsWith(`..${sep}`) && way !== resolve(path));
}

async function stampOf(path: string): Promise<string | undefined> {
  const nature = await stat(path).catch(() => undefined);
  return nature && `${nature.ino} ${nature.size} ${nature.mtimeMs}`;
}

/** A file that did not change while it was read; undefined when it did, or is gone. */
async function settled(
  path: string,
): Promise<{ stamp: string; bytes: Buffer; changedMs: number } | undefined> {
  const before = await stampOf(path);
  const bytes = await readFile(path).catch(() => undefined);
  const nature = await stat(path).catch(() => undefined);
  if (before === undefined || !bytes || !nature || (await stampOf(path)) !== before) return undefined;
  return bytes.length === nature.size ? { stamp: before, bytes, changedMs: nature.mtimeMs } : undefined;
}

function digest(bytes: Uint8Array): string {
  return createHash("sha256").update(bytes).digest("hex");
}

/** True when the last of a score's bytes are lacking. */
function isCut(bytes: Buffer): boolean {
  const isArchive = bytes.subarray(0, 4).toString("latin1") === "PK\u0003\u0004";
  // The directory of an archive stands at its end, before a comment at most.
  if (isArchive) return bytes.lastIndexOf("PK\u0005\u0006", undefined, "latin1") < 0;
  const end = bytes.subarray(-4096).toString("latin1").replaceAll("\0", "");
  return !/<\/score-(?:partwise|timewise)\s*>/.test(end);
}
