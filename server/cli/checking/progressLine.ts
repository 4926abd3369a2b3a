import type { Terminal } from "../terminal.ts";

/** So often the line is drawn anew, at most. */
const everyMs = 100;
const barColumns = 24;

/** How far a call is, for whoever watches; nothing where nobody does. */
export class ProgressLine {
  readonly #terminal: Terminal;
  readonly #all: number;
  #drawnAt = 0;

  /** @param all files there are; a single one is not worth a line. */
  constructor(terminal: Terminal, all: number) {
    this.#terminal = terminal;
    this.#all = all;
  }

  /**
   * @param done files are done.
   * @param now  the file that was begun last.
   */
  show(done: number, now = ""): void {
    const { progress } = this.#terminal;
    if (!progress || this.#all < 2) return;
    const time = performance.now();
    if (done < this.#all && time - this.#drawnAt < everyMs) return;
    this.#drawnAt = time;
    const filled = Math.floor((done / this.#all) * barColumns);
    const bar = `${"=".repeat(filled)}${" ".repeat(barColumns - filled)}`;
    progress(done === this.#all ? "" : `[${bar}] ${done} of ${this.#all}  ${now}`);
  }
}
