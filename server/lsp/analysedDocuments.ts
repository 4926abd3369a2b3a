import type { OpenDocument } from "./state.ts";

/** Analyses of texts that are longer together are not kept: each holds about thirty bytes for a character. */
const mostCharacters = 2_000_000;

/** An editor that asks for nothing so long, in milliseconds, is at rest. */
const restMs = 60_000;

/** Keeps the analyses of the documents that were asked about last, and none once nothing is asked any more. */
export class AnalysedDocuments {
  /** The one that was asked about last comes last. */
  readonly #recent = new Set<OpenDocument>();
  #rest: NodeJS.Timeout | undefined;

  /** The analysis of this document was asked for. */
  touch(document: OpenDocument): void {
    this.#recent.delete(document);
    this.#recent.add(document);
    let characters = [...this.#recent].reduce((sum, { text }) => sum + text.length, 0);
    for (const oldest of this.#recent) {
      if (characters <= mostCharacters || oldest === document) break;
      characters -= oldest.text.length;
      this.forget(oldest);
    }
    this.#rest ??= setTimeout(() => this.#restAll(), restMs).unref();
    this.#rest.refresh();
  }

  /** The document was closed. */
  forget(document: OpenDocument): void {
    document.rest();
    this.#recent.delete(document);
  }

  #restAll(): void {
    for (const document of this.#recent) document.rest();
    this.#recent.clear();
  }
}
