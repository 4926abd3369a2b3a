/** So often a thread that has just begun goes through a text again; after that little is left to be compiled. */
const times = 3;

/** A thread that has had nothing to do for so long is likely to have nothing to do for a while, in milliseconds. */
const quietMs = 150;

/**
 * A thread's first readings take several times as long as later ones, because its code is compiled while it runs. So it
 * reads the first text some more times while nobody waits, and the first keystroke finds the code compiled.
 */
export class WarmUp {
  #left = times;
  #timer: NodeJS.Timeout | undefined;

  /** Something was read, and nobody waits for anything: `again` reads it once more, if nothing comes between. */
  after(again: () => void): void {
    this.putOff();
    if (this.#left === 0) return;
    this.#timer = setTimeout(() => {
      this.#left -= 1;
      again();
      this.after(again);
    }, quietMs);
  }

  /** There is something to do. */
  putOff(): void {
    clearTimeout(this.#timer);
  }
}
