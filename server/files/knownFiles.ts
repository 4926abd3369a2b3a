import { readFileSync, statSync } from "node:fs";
import type { Problem } from "../../shared/text/problem.ts";
import { fileTrouble } from "./fileTrouble.ts";

/** A text file as it was read, and what is wrong with it. */
export interface KnownFile {
  readonly path: string;
  readonly text: string;
  readonly problems: readonly Problem[];
}

/** Gives the text of a file that is open somewhere and may not be saved yet; undefined for any other. */
export type OpenText = (path: string) => string | undefined;

/** Small text files that are asked for again and again: each is read anew only when it was saved since. */
export class KnownFiles<Content extends { readonly problems: readonly Problem[] }> {
  readonly #known = new Map<string, { readonly stamp: string; readonly file: KnownFile & Content }>();
  readonly #parse: (text: string) => Content;
  readonly #openText: OpenText;

  /**
   * @param parse    of a whole text; of the empty text it tells what there is when the file cannot be read.
   * @param openText goes before what is on the disk.
   */
  constructor(parse: (text: string) => Content, openText: OpenText = () => undefined) {
    this.#parse = parse;
    this.#openText = openText;
  }

  /** Undefined when there is no such file. */
  read(path: string): (KnownFile & Content) | undefined {
    const open = this.#openText(path);
    const stamp = open === undefined ? stampOf(path) : `open: ${open}`;
    if (stamp === undefined) {
      this.#known.delete(path);
      return undefined;
    }
    const known = this.#known.get(path);
    if (known?.stamp === stamp) return known.file;
    const file = open === undefined ? this.#fromDisk(path) : { ...this.#parse(open), path, text: open };
    this.#known.set(path, { stamp, file });
    return file;
  }

  #fromDisk(path: string): KnownFile & Content {
    try {
      const text = readFileSync(path, "utf8");
      return { ...this.#parse(text), path, text };
    } catch (error) {
      const message = fileTrouble(error, path);
      const problem: Problem = { severity: "error", message, span: { start: 0, end: 0 } };
      return { ...this.#parse(""), path, text: "", problems: [problem] };
    }
  }
}

/** What tells that a file is as it was read; undefined when there is no such file. */
function stampOf(path: string): string | undefined {
  try {
    const { mtimeMs, size, ino } = statSync(path);
    return `${mtimeMs} ${size} ${ino}`;
  } catch (error) {
    const { code } = error as NodeJS.ErrnoException;
    return code === "ENOENT" || code === "ENOTDIR" ? undefined : `unreadable: ${code}`;
  }
}
