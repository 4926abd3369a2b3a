/** Answers about the bars of a score by their text, for the next reading of nearly the same score. */
export class BarMemory<T> {
  #last: ReadonlyMap<string, T> = new Map();

  /** For each of a score's bars what is known about such a text, or else what `find` gives. */
  answers(bars: readonly string[], find: (bar: string) => T): T[] {
    const known = new Map<string, T>();
    const answers = bars.map((bar) => {
      const answer = known.get(bar) ?? this.#last.get(bar) ?? find(bar);
      known.set(bar, answer);
      return answer;
    });
    // No more than the last score, whose bars are parts of one text.
    this.#last = known;
    return answers;
  }
}
