import { TextDocument, type TextEdit } from "vscode-languageserver-textdocument";

/** One step that can be taken back and done again. */
export interface Step {
  undo(): void;
  redo(): void;
}

/**
 * The text of a compressed score while it is open. Versions only grow, whatever is done to it: each state that the
 * text was ever in has a number of its own.
 */
export class ContainerText {
  readonly #told: (version: number, text: string) => void;
  #text: string;
  #saved: string;
  #version = 1;
  /** How often the file was replaced on the disk: steps from before lead nowhere. */
  #replacements = 0;

  /**
   * @param text as it is to be shown.
   * @param saved as the file has it.
   * @param told hears of each change of the text.
   */
  constructor(text: string, saved: string, told: (version: number, text: string) => void) {
    this.#text = text;
    this.#saved = saved;
    this.#told = told;
  }

  get text(): string {
    return this.#text;
  }

  get version(): number {
    return this.#version;
  }

  /** Whether it is another text than the file's. */
  get isChanged(): boolean {
    return this.#text !== this.#saved;
  }

  /**
   * Makes edits that were found for a version; their places refer to the text before any of them.
   * @returns undefined when the text is another one by now: nothing is changed then.
   * @throws Error when edits overlap.
   */
  edit(edits: readonly TextEdit[], version: number | null | undefined): Step | undefined {
    if (version !== undefined && version !== null && version !== this.#version) return undefined;
    const before = this.#text;
    const document = TextDocument.create("score:", "musicxml", this.#version, before);
    const after = TextDocument.applyEdits(document, [...edits]);
    const madeFor = this.#replacements;
    const go = (text: string): void => {
      if (this.#replacements !== madeFor)
        throw new Error("The file was replaced meanwhile; what was done before that cannot be taken back.");
      this.#become(text);
    };
    go(after);
    return { undo: () => go(before), redo: () => go(after) };
  }

  /** The text was written to its file. */
  saved(text: string): void {
    this.#saved = text;
  }

  /** Back to what the file holds. @param saved its text now. */
  revert(saved: string): void {
    if (saved !== this.#saved) this.#replacements += 1;
    this.#saved = saved;
    this.#become(saved);
  }

  /** Another program saved the file, and what was done here is kept. */
  keepOver(saved: string): void {
    this.#saved = saved;
  }

  #become(text: string): void {
    if (text === this.#text) return;
    this.#text = text;
    this.#version += 1;
    this.#told(this.#version, text);
  }
}
