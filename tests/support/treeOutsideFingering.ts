/**
 * A second reader's view of a MusicXML text without its fingering: fingerings, brackets and digits that stand as words
 * or lyrics are left out, and with them the wrappers that hold nothing else. Two texts that differ in fingering only give equal trees.
 */
import { XMLParser } from "fast-xml-parser";

const parser = new XMLParser({
  preserveOrder: true,
  ignoreAttributes: false,
  trimValues: true,
  parseTagValue: false,
  parseAttributeValue: false,
  processEntities: false,
  commentPropName: "#comment",
});

export type TreeNode = Readonly<Record<string, unknown>>;

/** @throws when the text is too broken for the second reader. */
export function treeOutsideFingering(text: string): readonly TreeNode[] {
  return without(parser.parse(text) as TreeNode[]);
}

/** What a direction says about itself and not to the player. */
const placeOfDirection = new Set(["offset", "voice", "staff"]);

/** Words or a lyric of one to four fingers and nothing else. */
function isDigits(name: string, children: readonly TreeNode[]): boolean {
  const text = (nodes: readonly TreeNode[]): string =>
    nodes.map((node) => String(node["#text"] ?? text(Object.values(node).flat() as TreeNode[]))).join(" ");
  if (name === "lyric") return children.some((child) => isDigits("words", (child.text ?? []) as TreeNode[]));
  return name === "words" && /^[0-5]([ ,-]*[0-5]){0,3}$/.test(text(children).trim());
}

function without(nodes: readonly TreeNode[]): TreeNode[] {
  return nodes.flatMap((node) => {
    const name = Object.keys(node).find((key) => key !== ":@");
    const children = name === undefined ? undefined : node[name];
    if (name === undefined || !Array.isArray(children)) return [node];
    if (name === "fingering" || name === "bracket" || isDigits(name, children as TreeNode[])) return [];
    const left = without(children as TreeNode[]);
    const says = left.filter((child) => !Object.keys(child).some((key) => placeOfDirection.has(key)));
    const isWrapper = ["notations", "technical", "direction-type"].includes(name) && left.length === 0;
    if (isWrapper || (name === "direction" && says.length === 0)) return [];
    return [{ ...node, [name]: left }];
  });
}
