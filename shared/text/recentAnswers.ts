/** Answers by their questions, as many as were asked for lately. */
export class RecentAnswers<T> {
  readonly #fewest: number;
  #recent = new Map<string, T>();
  #older = new Map<string, T>();
  #recentSize = 0;

  /** @param fewest answers of this size together are remembered at least, of twice the size at most. */
  constructor(fewest: number) {
    this.#fewest = fewest;
  }

  /** @param size how much of the memory the answer takes. */
  get(question: string, size: number, find: () => T): T {
    const recent = this.#recent.get(question);
    if (recent !== undefined) return recent;
    const answer = this.#older.get(question) ?? find();
    if (this.#recentSize >= this.#fewest) {
      this.#older = this.#recent;
      this.#recent = new Map();
      this.#recentSize = 0;
    }
    this.#recent.set(question, answer);
    this.#recentSize += size;
    return answer;
  }
}
