import type { OpenDocument } from "./state.ts";

/** Analyses of texts that are longer together are not kept: each holds about ten bytes for a character. */
const mostCharacters = 3_000_000;

/** An editor in which nothing happens for so long is at rest, in milliseconds. */
const restMs = 60_000;

/** Keeps the analyses of the documents that were asked about last, and none once the editor is at rest. */
export class AnalysedDocuments {
  /** The one that was asked about last comes last. */
  readonly #recent = new Set<OpenDocument>();
  readonly #restMs: number;
  readonly #atRest: () => void;
  #timer: NodeJS.Timeout | undefined;

  /** @param atRest called when the analyses have been let go. */
  constructor(atRest: () => void, restAfterMs = restMs) {
    this.#atRest = atRest;
    this.#restMs = restAfterMs;
  }

  /** The analysis of this document was asked for. */
  touch(document: OpenDocument): void {
    this.stir();
    this.#recent.delete(document);
    this.#recent.add(document);
    let characters = [...this.#recent].reduce((sum, { text }) => sum + text.length, 0);
    for (const oldest of this.#recent) {
      if (characters <= mostCharacters || oldest === document) break;
      characters -= oldest.text.length;
      this.forget(oldest);
    }
  }

  /** Something happened in the editor. */
  stir(): void {
    if (this.#timer) this.#timer.refresh();
    else this.#timer = setTimeout(() => this.#rest(), this.#restMs).unref();
  }

  /** The document was closed. */
  forget(document: OpenDocument): void {
    document.rest();
    this.#recent.delete(document);
  }

  #rest(): void {
    for (const document of this.#recent) document.rest();
    this.#recent.clear();
    this.#atRest();
  }
}
