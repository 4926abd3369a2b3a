import { Forest } from "./forest.ts";

/** Which events stand for each other in the passages found so far. */
export class Links {
  /** Events that are the same; what is the same as the same is the same. */
  readonly #same: Forest;
  /** For each position, numbers that only events have in common that stand for each other in one passage. */
  readonly #names: number[][];
  #next = 0;

  constructor(size: number) {
    this.#same = new Forest(size);
    this.#names = Array.from({ length: size }, () => []);
  }

  /**
   * True for events that are the same through any chain of passages, and for events that stand for each other in one
   * passage on other strings. There a chain is not enough: what is like the like may lie far off.
   */
  linked(a: number, b: number): boolean {
    if (this.#same.together(a, b)) return true;
    const names = this.#names[b]!;
    return this.#names[a]!.some((name) => names.includes(name));
  }

  /** Stretches of one length on the same strings. */
  linkSame(starts: readonly number[], length: number): void {
    for (const start of starts) {
      for (let k = 0; k < length; k += 1) this.#same.join(starts[0]! + k, start + k);
    }
  }

  /** Stretches of one length on any strings. */
  linkShape(starts: readonly number[], length: number): void {
    for (const start of starts) {
      for (let k = 0; k < length; k += 1) this.#names[start + k]!.push(this.#next + k);
    }
    this.#next += length;
  }
}
