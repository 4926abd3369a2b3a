import { XMLParser } from "fast-xml-parser";

/**
 * The second reader: another XML library than the one that the scores are read with, so that a mistake of either is
 * noticed before anything is written.
 */

/** One node of a tree, as the library gives it: one key that tells the kind, and `:@` for attributes. */
export type TreeNode = Readonly<Record<string, unknown>>;

const options = {
  preserveOrder: true,
  ignoreAttributes: false,
  attributeNamePrefix: "",
  parseTagValue: false,
  parseAttributeValue: false,
  trimValues: false,
  processEntities: false,
  commentPropName: "#comment",
  cdataPropName: "#cdata",
} as const;

const wholeParser = new XMLParser(options);
const measureParser = new XMLParser({ ...options, stopNodes: ["..measure"] });

/** Reads one element, whole. @throws Error when the library cannot read it. */
export function readTree(xml: string): TreeNode[] {
  return wholeParser.parse(xml) as TreeNode[];
}

/**
 * Reads a score down to its measures.
 * @returns what stands between the tags of each measure, line ends as LF, in the order of the text.
 * @throws Error when the library cannot read it.
 */
export function readMeasureTexts(xml: string): string[] {
  const texts: string[] = [];
  const collect = (nodes: readonly TreeNode[]): void => {
    for (const node of nodes) {
      const name = nodeName(node);
      if (name === "measure") texts.push(textOf(node));
      else if (!name.startsWith("#") && !name.startsWith("?")) collect(childNodes(node));
    }
  };
  collect(measureParser.parse(xml) as TreeNode[]);
  return texts;
}

/** An element's name; `#text`, `#comment`, `#cdata`, and `?target` for what is no element. */
export function nodeName(node: TreeNode): string {
  for (const key in node) if (key !== attributesKey) return key;
  return "";
}

/** An element's attributes, in order. */
export function nodeAttributes(node: TreeNode): Readonly<Record<string, string>> {
  return (node[attributesKey] as Record<string, string> | undefined) ?? {};
}

export function childNodes(node: TreeNode): readonly TreeNode[] {
  const content = node[nodeName(node)];
  return Array.isArray(content) ? (content as TreeNode[]) : [];
}

/** The characters of a text node, or of a node that holds only text. */
export function textOf(node: TreeNode): string {
  const content = node[nodeName(node)];
  if (typeof content === "string") return content;
  return childNodes(node).map(textOf).join("");
}

const attributesKey = ":@";
