import { type Attributes, type LocatedElement, textBetween } from "./element.ts";
import { ElementPlace } from "./elementPlace.ts";
import type { TagAttributes } from "./scan.ts";

/** Builds one element, with all that is in it, from its tags. */
export class ElementTree {
  readonly #source: string;
  readonly #open: SourceElement[] = [];

  constructor(source: string) {
    this.#source = source;
  }

  /** True while an element has begun and not ended. */
  get isOpen(): boolean {
    return this.#open.length > 0;
  }

  open(name: string, attributes: TagAttributes, start: number, contentStart: number): void {
    this.#open.push(new SourceElement(this.#source, name, attributes.all(), start, contentStart));
  }

  /** @returns the element, when its last tag has been read. */
  close(contentEnd: number, end: number): LocatedElement | undefined {
    const element = this.#open.pop();
    if (!element) return undefined;
    element.finish(contentEnd, end);
    const parent = this.#open[this.#open.length - 1];
    if (!parent) return element;
    if (this.#open.length < mostDepth) parent.add(element);
    return undefined;
  }
}

/** Deeper elements are left out; no score has them. */
const mostDepth = 100;

const noChildren: LocatedElement[] = [];

/** An element that reads its text from the source when it is asked for. */
class SourceElement extends ElementPlace implements LocatedElement {
  readonly name: string;
  readonly attributes: Attributes;
  children: LocatedElement[] = noChildren;
  readonly source: string;

  constructor(source: string, name: string, attributes: Attributes, start: number, contentStart: number) {
    super(start, contentStart);
    this.name = name;
    this.attributes = attributes;
    this.source = source;
  }

  add(element: LocatedElement): void {
    if (this.children === noChildren) this.children = [element];
    else this.children.push(element);
  }

  get text(): string {
    return textBetween(this.source, this.contentStart, this.contentEnd);
  }

  get holdsRemark(): boolean {
    return remark.test(this.source.slice(this.start, this.end));
  }
}

const remark = /<!--|<\?/;
