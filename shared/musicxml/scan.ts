import { SaxesParser, type SaxesTagPlain } from "saxes";
import type { Problem } from "../text/problem.ts";
import type { LocatedElement } from "./element.ts";

/** Told of the elements as they close. */
export interface ScanHandler {
  /** The element's start tag has been read; its children are not known yet. */
  open(name: string, attributes: Readonly<Record<string, string>>, start: number): void;
  /** Says whether elements of this name, found outside any kept one, are kept whole. */
  keep(name: string): boolean;
  /** A kept element, whole. */
  element(element: LocatedElement): void;
  /** An element that was not kept has ended. `end` is the offset after its end tag. */
  close(name: string, end: number): void;
}

interface OpenElement {
  name: string;
  attributes: Record<string, string>;
  children: LocatedElement[];
  text: string;
  span: { start: number; end: number };
  content: { start: number; end: number };
  selfClosing: boolean;
}

const declaredEntity = /<!ENTITY\s/;
const mostDepth = 200;
const mostProblems = 100;

/**
 * Reads an XML text once, front to back, and hands the kept elements to `handler` one at a time, so that a
 * whole score never stands in memory as a tree. What is not well-formed is reported and read around.
 *
 * @param text the whole document. Document types are not fetched, and no entity is expanded beyond the five
 *             of XML and character references.
 * @returns what was not well-formed; never throws for a broken text.
 * Time and memory O(text.length); elements nested deeper than 200 are reported once and read as flat.
 */
export function scan(text: string, handler: ScanHandler): Problem[] {
  const problems: Problem[] = [];
  const problem = (message: string, start: number, end = start): void => {
    if (problems.length < mostProblems) problems.push({ severity: "error", message, span: { start, end } });
  };
  const kept: OpenElement[] = [];
  let depth = 0;
  let tooDeep = false;
  let start = 0;

  const parser = new SaxesParser({ position: true, xmlns: false });
  parser.on("error", (error) => {
    const at = Math.min(parser.position, text.length);
    problem(`Not well-formed XML: ${plainMessage(error.message)}`, Math.max(0, at - 1), at);
  });
  parser.on("doctype", (doctype) => {
    if (declaredEntity.test(doctype)) {
      problem(
        "The document type declares entities of its own; they are not expanded. Remove them from the file.",
        Math.max(0, Math.min(parser.position, text.length) - doctype.length - 1),
        Math.min(parser.position, text.length),
      );
    }
  });
  parser.on("opentagstart", (tag) => {
    // The `<` of this tag is the last one before the reader's place: names hold none.
    start = text.lastIndexOf("<", parser.position - 1 - tag.name.length);
  });
  parser.on("opentag", (tag: SaxesTagPlain) => {
    depth += 1;
    if (depth > mostDepth && !tooDeep) {
      tooDeep = true;
      problem(`Elements are nested deeper than ${mostDepth}; no score needs that.`, start, parser.position);
    }
    if (kept.length === 0 && !handler.keep(tag.name)) {
      handler.open(tag.name, tag.attributes, start);
      return;
    }
    kept.push({
      name: tag.name,
      attributes: tag.attributes,
      children: [],
      text: "",
      span: { start, end: parser.position },
      content: { start: parser.position, end: parser.position },
      selfClosing: tag.isSelfClosing,
    });
  });
  const addText = (data: string): void => {
    const open = kept[kept.length - 1];
    if (open) open.text += data;
  };
  parser.on("text", addText);
  parser.on("cdata", addText);
  parser.on("closetag", (tag: SaxesTagPlain) => {
    depth -= 1;
    const end = Math.min(parser.position, text.length);
    const element = kept.pop();
    if (!element) {
      handler.close(tag.name, end);
      return;
    }
    element.span.end = end;
    if (!element.selfClosing) {
      const endTag = text.lastIndexOf("<", end - 1);
      element.content.end = Math.max(element.content.start, endTag);
    }
    const parent = kept[kept.length - 1];
    if (parent && depth < mostDepth) parent.children.push(element);
    else if (!parent) handler.element(element);
  });
  try {
    parser.write(text).close();
  } catch (error) {
    problem(`The text could not be read: ${error instanceof Error ? error.message : String(error)}`, 0);
  }
  return problems;
}

function plainMessage(message: string): string {
  const plain = message.replace(/^\d+:\d+: /, "").replace(/\.$/, "");
  return `${plain}.`;
}
