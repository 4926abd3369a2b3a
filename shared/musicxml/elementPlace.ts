import type { Span } from "../text/span.ts";

/** Where an element stands in a text, as it is found tag by tag. Plain fields, as many are made. */
export class ElementPlace {
  readonly start: number;
  readonly contentStart: number;
  contentEnd: number;
  end: number;

  constructor(start: number, contentStart: number) {
    this.start = start;
    this.contentStart = contentStart;
    this.contentEnd = contentStart;
    this.end = contentStart;
  }

  /** The last tag has been read. */
  finish(contentEnd: number, end: number): void {
    this.contentEnd = Math.max(this.contentStart, contentEnd);
    this.end = end;
  }

  /** From `<` of the start tag up to and including `>` of the end tag. */
  get span(): Span {
    return { start: this.start, end: this.end };
  }

  /** Between the tags; empty, at the end of the element, when it is written `<name/>`. */
  get content(): Span {
    return { start: this.contentStart, end: this.contentEnd };
  }

  get selfClosing(): boolean {
    return this.contentStart === this.end;
  }
}
