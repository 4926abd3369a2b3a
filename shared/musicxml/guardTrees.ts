import { isMechanismDirection, isPlainMechanismDirection } from "./mechanismMarkTrees.ts";
import { childNodes, nodeAttributes, nodeName, type TreeNode, textOf } from "./secondReader.ts";
import { isFingerDigits } from "./textFingeringEdits.ts";

/**
 * What an edit may do besides fingering. `mechanism marks added`: directions that say how pedals or levers are set, and
 * nothing else, may come, in their plainest form. `mechanism marks changed`: they may come, go and change.
 */
export type Permission = "mechanism marks added" | "mechanism marks changed";

/**
 * Compares two measures, before and after an edit. All must be equal in order, names, attributes, text, comments and
 * processing instructions, but for
 *
 * - `fingering` in `note/notations/technical`: may come, go and change;
 * - a `direction` that holds nothing but brackets: may come and go as a whole; so may the `direction-type` with a
 *   bracket in a direction that says something else as well;
 * - a `direction` that holds nothing but digits of fingers as words, and a `lyric` that holds nothing else: may go, when
 *   at least as many fingerings come in the measure;
 * - `notations` and `technical` without attributes: may come filled and go emptied;
 * - white space between the elements of the elements named here;
 * - what `permission` allows.
 *
 * @returns undefined when they are equal in that sense, else the way to what is not: `note 3, lyric`.
 */
export function differenceOfMeasures(
  before: TreeNode,
  after: TreeNode,
  permission?: Permission,
): string | undefined {
  const gone = countOf(before, isDigitText) - countOf(after, isDigitText);
  if (gone < 0) return "digits come as words or lyrics";
  const isFingering = (node: TreeNode): boolean => nodeName(node) === "fingering";
  if (gone > 0 && gone > countOf(after, isFingering) - countOf(before, isFingering))
    return "digits in words or lyrics are gone";
  return differenceOf(before, after, "", permission);
}

/** How many nodes within this one are of a kind; those within one of the kind are not looked at. */
function countOf(node: TreeNode, isOfKind: (node: TreeNode) => boolean): number {
  let count = 0;
  for (const part of childNodes(node)) count += isOfKind(part) ? 1 : countOf(part, isOfKind);
  return count;
}

/** @param way the names of the elements above, outermost first, each with a slash after it. */
function differenceOf(
  before: TreeNode,
  after: TreeNode,
  way: string,
  permission?: Permission,
): string | undefined {
  const name = nodeName(before);
  if (name !== nodeName(after)) return `${label(before)} became ${label(after)}`;
  if (name === "#text" || name === "#cdata" || name === "#comment") {
    return textOf(before) === textOf(after) ? undefined : label(before);
  }
  if (!sameAttributes(before, after)) return `the attributes of ${label(before)}`;
  if (name === "note") {
    const wrapper = lostWrapper(before, after) ?? lostWrapper(after, before);
    if (wrapper) return `an empty <${wrapper}>`;
  }
  const [was, is] = withoutPermitted(whatCounts(before, way), whatCounts(after, way), way + name, permission);
  return differenceOfLists(was, is, `${way}${name}/`, permission);
}

/** The children of two nodes without the marks of pedals and levers that may differ between them. */
function withoutPermitted(
  before: readonly TreeNode[],
  after: readonly TreeNode[],
  place: string,
  permission: Permission | undefined,
): [readonly TreeNode[], readonly TreeNode[]] {
  if (!permission || !isMeasureContent(place)) return [before, after];
  if (permission === "mechanism marks changed") {
    const isOther = (node: TreeNode): boolean => !isMechanismDirection(node);
    return [before.filter(isOther), after.filter(isOther)];
  }
  let next = 0;
  const kept = after.filter((node) => {
    const was = before[next];
    const isNew = isPlainMechanismDirection(node) && (!was || differenceOf(was, node, `${place}/`));
    if (!isNew) next += 1;
    return !isNew;
  });
  return [before, kept];
}

/** A measure's place, in either layout of a score: there its music follows. */
function isMeasureContent(place: string): boolean {
  return /^measure(\/part)?$/.test(place);
}

function differenceOfLists(
  before: readonly TreeNode[],
  after: readonly TreeNode[],
  way: string,
  permission?: Permission,
): string | undefined {
  const seen = new Map<string, number>();
  const shorter = Math.min(before.length, after.length);
  for (let i = 0; i < shorter; i += 1) {
    const name = nodeName(before[i]!);
    seen.set(name, (seen.get(name) ?? 0) + 1);
    const difference = differenceOf(before[i]!, after[i]!, way, permission);
    if (!difference) continue;
    const isElement = name === nodeName(after[i]!) && !name.startsWith("#");
    return isElement ? `${name} ${seen.get(name)}: ${difference}` : difference;
  }
  if (before.length > shorter) return `${label(before[shorter]!)} is gone`;
  if (after.length > shorter) return `${label(after[shorter]!)} is new`;
  return undefined;
}

/** The children of a node that an edit must leave as they are. */
function whatCounts(node: TreeNode, way: string): readonly TreeNode[] {
  const children = childNodes(node);
  const place = way + nodeName(node);
  if (isMeasureContent(place)) {
    return children.filter((part) => !isBlank(part) && !isBracketDirection(part) && !isDigitText(part));
  }
  if (place.endsWith("/direction")) {
    return children.filter((part) => !isBlank(part) && !isSpareBracket(part, children));
  }
  if (place.endsWith("/note"))
    return children.filter((part) => !isBlank(part) && !isEmptyNotations(part) && !isDigitText(part));
  if (place.endsWith("/note/notations")) {
    return children.filter((part) => !isBlank(part) && !isEmptyTechnical(part));
  }
  if (place.endsWith("/note/notations/technical")) {
    return children.filter((part) => !isBlank(part) && nodeName(part) !== "fingering");
  }
  return children;
}

/** `notations` without attributes that holds nothing, or nothing but empty `technical`. */
function isEmptyNotations(node: TreeNode): boolean {
  return (
    isBare(node, "notations") && childNodes(node).every((part) => isBlank(part) || isEmptyTechnical(part))
  );
}

/** `technical` without attributes that holds nothing, or nothing but fingering. */
function isEmptyTechnical(node: TreeNode): boolean {
  const free = (part: TreeNode): boolean => isBlank(part) || nodeName(part) === "fingering";
  return isBare(node, "technical") && childNodes(node).every(free);
}

function isBare(node: TreeNode, name: string): boolean {
  return nodeName(node) === name && Object.keys(nodeAttributes(node)).length === 0;
}

/**
 * An edit removes only the wrappers that it empties and makes only those that it fills. Wrappers that held nothing
 * from the beginning must still be there, empty or filled.
 */
function lostWrapper(note: TreeNode, other: TreeNode): "notations" | "technical" | undefined {
  const lost = (wrappers: (note: TreeNode) => TreeNode[]): boolean =>
    wrappers(note).filter((node) => !holdsFingering(node)).length > wrappers(other).length;
  if (lost(emptyNotations)) return "notations";
  return lost(emptyTechnical) ? "technical" : undefined;
}

function emptyNotations(note: TreeNode): TreeNode[] {
  return childNodes(note).filter(isEmptyNotations);
}

function emptyTechnical(note: TreeNode): TreeNode[] {
  return childNodes(note)
    .filter((part) => nodeName(part) === "notations")
    .flatMap((notations) => childNodes(notations).filter(isEmptyTechnical));
}

function holdsFingering(node: TreeNode): boolean {
  return childNodes(node).some((part) => nodeName(part) === "fingering" || holdsFingering(part));
}

/** A direction that goes with its brackets: it holds them and says where they stand, nothing else. */
function isBracketDirection(node: TreeNode): boolean {
  if (nodeName(node) !== "direction") return false;
  let brackets = 0;
  for (const part of childNodes(node)) {
    if (isBlank(part) || isPlaceOfDirection(part)) continue;
    if (!isBracketType(part)) return false;
    brackets += 1;
  }
  return brackets > 0;
}

/** Digits of fingers that stand as text: a direction of such words, or such a lyric, and nothing else in either. */
function isDigitText(node: TreeNode): boolean {
  const parts = childNodes(node).filter((part) => !isBlank(part));
  switch (nodeName(node)) {
    case "direction":
      return (
        parts.every((part) => isDigitWords(part) || isPlaceOfDirection(part)) && parts.some(isDigitWords)
      );
    case "lyric":
      return (
        parts.length > 0 && parts.every((part) => nodeName(part) === "syllabic" || isDigits(part, "text"))
      );
    default:
      return false;
  }
}

function isDigitWords(node: TreeNode): boolean {
  const content = childNodes(node).filter((part) => !isBlank(part));
  return nodeName(node) === "direction-type" && content.length === 1 && isDigits(content[0]!, "words");
}

function isDigits(node: TreeNode, name: string): boolean {
  return nodeName(node) === name && isFingerDigits(textOf(node).trim());
}

function isPlaceOfDirection(node: TreeNode): boolean {
  return ["offset", "voice", "staff"].includes(nodeName(node));
}

/** A bracket that can go because its direction says something else as well. */
function isSpareBracket(node: TreeNode, siblings: readonly TreeNode[]): boolean {
  const saysMore = (part: TreeNode): boolean => nodeName(part) === "direction-type" && !isBracketType(part);
  return isBracketType(node) && siblings.some(saysMore);
}

function isBracketType(node: TreeNode): boolean {
  if (nodeName(node) !== "direction-type") return false;
  const content = childNodes(node).filter((part) => !isBlank(part));
  return content.length === 1 && nodeName(content[0]!) === "bracket";
}

function isBlank(node: TreeNode): boolean {
  return nodeName(node) === "#text" && textOf(node).trim() === "";
}

function sameAttributes(a: TreeNode, b: TreeNode): boolean {
  return (
    JSON.stringify(Object.entries(nodeAttributes(a))) === JSON.stringify(Object.entries(nodeAttributes(b)))
  );
}

function label(node: TreeNode): string {
  const name = nodeName(node);
  if (name === "#text" || name === "#cdata")
    return `text ${JSON.stringify(textOf(node).trim().slice(0, 40))}`;
  return name === "#comment" ? "a comment" : `<${name}>`;
}
