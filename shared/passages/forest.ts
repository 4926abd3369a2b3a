/** Things that belong together, in sets that grow. A disjoint-set forest. */
export class Forest {
  readonly #parent: Int32Array;

  constructor(size: number) {
    this.#parent = Int32Array.from({ length: size }, (_, i) => i);
  }

  /** The member that stands for the whole set: its smallest. */
  nameOf(member: number): number {
    let at = member;
    while (this.#parent[at] !== at) {
      this.#parent[at] = this.#parent[this.#parent[at]!]!;
      at = this.#parent[at]!;
    }
    return at;
  }

  together(a: number, b: number): boolean {
    return this.nameOf(a) === this.nameOf(b);
  }

  join(a: number, b: number): void {
    const [x, y] = [this.nameOf(a), this.nameOf(b)];
    if (x !== y) this.#parent[Math.max(x, y)] = Math.min(x, y);
  }
}
