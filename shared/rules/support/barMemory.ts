/** Answers about the bars of a score by their text, for the next reading of nearly the same score. */
export class BarMemory<T> {
  #bars: readonly string[] = [];
  #answers: readonly T[] = [];

  /** For each of a score's bars what the last reading found, or what `find` gives between the first and the last changed. */
  answers(bars: readonly string[], find: (bar: string) => T): readonly T[] {
    const before = this.#bars;
    const most = Math.min(bars.length, before.length);
    // Compared in their places, for looking a text up takes as long as reading all of it.
    let head = 0;
    while (head < most && bars[head] === before[head]) head += 1;
    let tail = 0;
    while (tail < most - head && bars.at(-1 - tail) === before.at(-1 - tail)) tail += 1;
    this.#answers = [
      ...this.#answers.slice(0, head),
      ...bars.slice(head, bars.length - tail).map((bar) => find(bar)),
      ...this.#answers.slice(before.length - tail),
    ];
    // No more than the last score, whose bars are parts of one text.
    this.#bars = bars;
    return this.#answers;
  }
}
