import { isMechanismWords } from "./mechanismWords.ts";
import { childNodes, nodeAttributes, nodeName, type TreeNode, textOf } from "./secondReader.ts";

/** A direction that says how pedals or levers are set, and nothing else. */
export function isMechanismDirection(node: TreeNode): boolean {
  if (nodeName(node) !== "direction") return false;
  let marks = 0;
  for (const part of elementsIn(node) ?? []) {
    if (["offset", "voice", "staff"].includes(nodeName(part))) continue;
    if (!isMark(part)) return false;
    marks += 1;
  }
  return marks > 0;
}

/** As it may be put in: with its place, and without any wish about its look. */
export function isPlainMechanismDirection(node: TreeNode): boolean {
  if (!isMechanismDirection(node)) return false;
  const { placement, ...others } = nodeAttributes(node) as Record<string, unknown>;
  return (
    (placement === undefined || placement === "above" || placement === "below") &&
    Object.keys(others).length === 0 &&
    elementsIn(node)!.every((part) => isWithoutAttributes(part) && inSpace(part))
  );
}

function isWithoutAttributes(node: TreeNode): boolean {
  return (
    Object.keys(nodeAttributes(node)).length === 0 &&
    childNodes(node).every((part) => nodeName(part).startsWith("#") || isWithoutAttributes(part))
  );
}

/** What says the place is text alone: a number, or the name of a voice. */
function inSpace(node: TreeNode): boolean {
  return !["offset", "voice", "staff"].includes(nodeName(node)) || isText(node, /^[^\s<>&]{1,20}$/);
}

/** The signs of alterations, and é, as references: the second reader leaves them as they are. */
const signReferences = /&#(9837|9838|9839|233);/g;

/** A `direction-type` with one diagram of pedals, or with words that set pedals or levers. */
function isMark(node: TreeNode): boolean {
  if (nodeName(node) !== "direction-type") return false;
  const content = elementsIn(node);
  if (content?.length !== 1) return false;
  const [sign] = content;
  if (nodeName(sign!) === "words") {
    const words = textOf(sign!).replace(signReferences, (_, code: string) =>
      String.fromCodePoint(Number(code)),
    );
    return childNodes(sign!).every((part) => nodeName(part) === "#text") && isMechanismWords(words);
  }
  return nodeName(sign!) === "harp-pedals" && isDiagram(sign!);
}

/** Source: MusicXML 4.0, complexType harp-pedals. */
function isDiagram(node: TreeNode): boolean {
  const tunings = elementsIn(node) ?? [];
  return (
    tunings.length > 0 &&
    tunings.every((tuning) => {
      const [step, alter, more] = elementsIn(tuning) ?? [];
      return (
        nodeName(tuning) === "pedal-tuning" &&
        step !== undefined &&
        alter !== undefined &&
        more === undefined &&
        nodeName(step) === "pedal-step" &&
        isText(step, /^[A-G]$/) &&
        nodeName(alter) === "pedal-alter" &&
        isText(alter, /^(-1|0|1)$/)
      );
    })
  );
}

function isText(node: TreeNode, pattern: RegExp): boolean {
  return childNodes(node).every((part) => nodeName(part) === "#text") && pattern.test(textOf(node).trim());
}

/** The elements in a node; undefined when something else than white space stands between them. */
function elementsIn(node: TreeNode): readonly TreeNode[] | undefined {
  const parts = childNodes(node).filter((part) => nodeName(part) !== "#text" || textOf(part).trim() !== "");
  return parts.some((part) => /^[#?]/.test(nodeName(part))) ? undefined : parts;
}
