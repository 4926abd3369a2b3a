/** A set of pairs of whole numbers from 0 on. Keys for a `Set` would be too large to be quick in a long score. */
export class PairSet {
  /** The pairs by their hash, with the next free place where that is taken; each first number one higher, 0 for none. */
  #firsts = new Int32Array(256);
  #seconds = new Int32Array(256);
  #size = 0;

  get size(): number {
    return this.#size;
  }

  has(a: number, b: number): boolean {
    return this.#firsts[this.#placeOf(a, b)] !== 0;
  }

  add(a: number, b: number): void {
    const place = this.#placeOf(a, b);
    if (this.#firsts[place] !== 0) return;
    this.#firsts[place] = a + 1;
    this.#seconds[place] = b;
    this.#size += 1;
    if (2 * this.#size > this.#firsts.length) this.#grow();
  }

  /** Where the pair is, or would be put. */
  #placeOf(a: number, b: number): number {
    const firsts = this.#firsts;
    const last = firsts.length - 1;
    const mixed = Math.imul(Math.imul(a, 0x9e3779b1) + b, 0x85ebca6b);
    let place = (mixed ^ (mixed >>> 15)) & last;
    while (firsts[place] !== 0 && (firsts[place] !== a + 1 || this.#seconds[place] !== b)) {
      place = (place + 1) & last;
    }
    return place;
  }

  #grow(): void {
    const [firsts, seconds] = [this.#firsts, this.#seconds];
    this.#firsts = new Int32Array(2 * firsts.length);
    this.#seconds = new Int32Array(2 * firsts.length);
    for (let i = 0; i < firsts.length; i += 1) {
      if (firsts[i] === 0) continue;
      const place = this.#placeOf(firsts[i]! - 1, seconds[i]!);
      this.#firsts[place] = firsts[i]!;
      this.#seconds[place] = seconds[i]!;
    }
  }
}
