/** What a program asks about a score that it sends along; `bytes` are those of a file. */
export type ScoreQuestion = { readonly bytes: Uint8Array; readonly choices: ScoreChoices } & (
  | { readonly does: "check" }
  | { readonly does: "finger"; readonly as: "json" | "musicxml" }
);

/** What a program may choose for a score, each as it stands in the address. */
export interface ScoreChoices {
  readonly part?: string;
  /** One that has a name. */
  readonly profile?: string;
  readonly mode?: "keep" | "fresh";
  readonly hand?: "right" | "left" | "both";
  /** Printed numbers, both included; one stands for both. */
  readonly firstBar?: string;
  readonly lastBar?: string;
}

/** Answers questions about scores that lie in no file: away from the server's own thread, and touching no file. */
export interface ScoreWork {
  /**
   * @param signal ends the wait for a turn: nobody wants the answer any more.
   * @returns JSON, or the bytes of a file.
   * @throws InputError when the score cannot be read or fingered; it says why.
   */
  answer(question: ScoreQuestion, signal: AbortSignal): Promise<string | Uint8Array>;
}
