import { SaxesParser, type SaxesTagPlain } from "saxes";
import type { Problem } from "../text/problem.ts";
import type { Attributes } from "./element.ts";

/** The attributes of a start tag. They can be asked for only while the handler is told of the tag. */
export interface TagAttributes {
  get(name: string): string | undefined;
  /** All of them, to be kept. */
  all(): Attributes;
}

/** Told of every tag, in the order of the text. */
export interface ScanHandler {
  /** A start tag stands from `start` to `contentStart`. */
  open(name: string, attributes: TagAttributes, start: number, contentStart: number): void;
  /**
   * The element that was opened last and not closed yet ends: its end tag stands from `contentEnd` to `end`. Both are
   * the `contentStart` of an element that is written `<name/>`.
   */
  close(name: string, contentEnd: number, end: number): void;
  /** An element without elements in it: as `open` and `close` one after the other. */
  leaf(
    name: string,
    attributes: TagAttributes,
    start: number,
    contentStart: number,
    contentEnd: number,
    end: number,
  ): void;
}

const declaredEntity = /<!ENTITY\s/;
const mostDepth = 200;
const mostProblems = 100;

/**
 * Reads an XML text once, front to back. What is not well-formed is reported and read around, up to a hundred times:
 * after that the text is not XML, and reading it ends there.
 *
 * @param text the whole document. Document types are not fetched, and no entity is expanded beyond the five
 *             of XML and character references.
 * @returns what was not well-formed; never throws for a broken text.
 * Time and memory O(text.length). Elements nested deeper than 200 are reported, once.
 */
export function scan(text: string, handler: ScanHandler): Problem[] {
  const problems: Problem[] = [];
  const problem = (message: string, start: number, end = start): void => {
    problems.push({ severity: "error", message, span: { start, end } });
    if (problems.length >= mostProblems) throw new TooMuchIsBroken();
  };
  let depth = 0;
  let tooDeep = false;

  const attributes = new LibraryAttributes();
  const parser = new SaxesParser({ position: true, xmlns: false });
  const place = (): number => Math.min(parser.position, text.length);
  parser.on("error", (error) => {
    const at = place();
    problem(`Not well-formed XML: ${plainMessage(error.message)}`, Math.max(0, at - 1), at);
  });
  parser.on("doctype", (doctype) => {
    if (!declaredEntity.test(doctype)) return;
    const end = place();
    problem(
      "The document type declares entities of its own; they are not expanded. Remove them from the file.",
      Math.max(0, end - doctype.length - 1),
      end,
    );
  });
  parser.on("opentag", (tag: SaxesTagPlain) => {
    const end = parser.position;
    const start = tagStart(text, end, end - tag.name.length - (tag.isSelfClosing ? 3 : 2));
    depth += 1;
    if (depth > mostDepth && !tooDeep) {
      tooDeep = true;
      problem(`Elements are nested deeper than ${mostDepth}; no score needs that.`, start, end);
    }
    attributes.tag = tag.attributes;
    handler.open(tag.name, attributes, start, end);
  });
  parser.on("closetag", (tag: SaxesTagPlain) => {
    depth -= 1;
    const end = parser.position;
    const contentEnd = tag.isSelfClosing ? end : tagStart(text, end, end - tag.name.length - 3);
    handler.close(tag.name, contentEnd, end);
  });
  try {
    parser.write(text).close();
  } catch (error) {
    if (!(error instanceof TooMuchIsBroken)) throw error;
  }
  return problems;
}

/**
 * Where the tag that ends at `end` starts: at `guess`, if it has neither attributes nor white space. A tag holds no
 * other `<`: XML forbids it in the values of attributes.
 */
function tagStart(text: string, end: number, guess: number): number {
  if (text.charCodeAt(guess) === lessThan) return guess;
  let at = end - 1;
  while (at > 0 && text.charCodeAt(at) !== lessThan) at -= 1;
  return at;
}

const lessThan = 60;

class LibraryAttributes implements TagAttributes {
  tag: Attributes = {};

  get(name: string): string | undefined {
    return Object.hasOwn(this.tag, name) ? this.tag[name] : undefined;
  }

  all(): Attributes {
    return this.tag;
  }
}

class TooMuchIsBroken extends Error {}

function plainMessage(message: string): string {
  const plain = message.replace(/^\d+:\d+: /, "").replace(/\.$/, "");
  return `${plain}.`;
}
