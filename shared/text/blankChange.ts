import type { Span } from "./span.ts";

/** Blanks between two tags that became others: longer, shorter, or with other line ends. */
export interface BlankChange {
  /** All blanks between the two tags, in the text before. */
  readonly before: Span;
  /** How much longer they are now; negative when they are shorter. */
  readonly growth: number;
  /** What stands before them is a start tag: content may begin there. */
  readonly afterStartTag: boolean;
  /** What stands after them is an end tag: content may end there. */
  readonly beforeEndTag: boolean;
}

/**
 * The only change between two XML texts, if it is one of blanks between two tags which say nothing: not those in an
 * element that holds nothing else, nor those beside a comment, which may stand in the midst of words.
 *
 * @param before well-formed.
 * @returns undefined when something else, or nothing, has changed.
 * Time O(before.length).
 * Source: XML 1.0, section 2.10. That elements which hold others hold no words of their own is so in all of MusicXML
 * 4.0: musicxml.xsd has no mixed content.
 */
export function blankChange(before: string, after: string): BlankChange | undefined {
  const most = Math.min(before.length, after.length);
  const same = alikeAtStart(before, after, most);
  if (same === before.length && same === after.length) return undefined;
  const fromEnd = alikeAtEnd(before, after, most - same);
  if (!isBlank(before, same, before.length - fromEnd) || !isBlank(after, same, after.length - fromEnd))
    return undefined;
  let start = same;
  while (isBlankCode(before.charCodeAt(start - 1))) start -= 1;
  let end = before.length - fromEnd;
  while (isBlankCode(before.charCodeAt(end))) end += 1;
  if (before[start - 1] !== ">" || !/[A-Za-z_/]/.test(before[end + 1] ?? "") || before[end] !== "<")
    return undefined;
  // There is no other `<` in a tag, and neither of these where such a sign may stand for itself.
  if (before.includes("<![CDATA[") || before.includes("<!ENTITY")) return undefined;
  const tag = before.lastIndexOf("<", start - 1);
  if (!/[A-Za-z_/]/.test(before[tag + 1] ?? "")) return undefined;
  const afterStartTag = before[tag + 1] !== "/" && before[start - 2] !== "/";
  const beforeEndTag = before[end + 1] === "/";
  if (afterStartTag && beforeEndTag) return undefined;
  return { before: { start, end }, growth: after.length - before.length, afterStartTag, beforeEndTag };
}

/**
 * Where a span of the text before lies now. Blanks belong to no element, so that one that ends where they begin ends
 * there still.
 * @returns undefined when that cannot be told: it begins or ends in their midst, or where content may as well.
 */
export function spanAfter(change: BlankChange, { start, end }: Span): Span | undefined {
  const { before, growth, afterStartTag, beforeEndTag } = change;
  const isAt = (offset: number): boolean => before.start === before.end && offset === before.start;
  const isInside = (offset: number): boolean => offset > before.start && offset < before.end;
  if (isInside(start) || isInside(end) || (start === end && isAt(start))) return undefined;
  if ((isAt(start) && afterStartTag) || (isAt(end) && beforeEndTag)) return undefined;
  return {
    start: start < before.end ? start : start + growth,
    end: end <= before.start ? end : end + growth,
  };
}

/** Whole stretches of two texts are compared much quicker than their characters one by one. */
const stretch = 4_096;

/** How many characters two texts begin with alike, up to a number. */
function alikeAtStart(a: string, b: string, most: number): number {
  let same = 0;
  while (same + stretch <= most && a.slice(same, same + stretch) === b.slice(same, same + stretch))
    same += stretch;
  while (same < most && a.charCodeAt(same) === b.charCodeAt(same)) same += 1;
  return same;
}

/** The same for what they end with. */
function alikeAtEnd(a: string, b: string, most: number): number {
  const before = (text: string, same: number): string =>
    text.slice(text.length - same - stretch, text.length - same);
  let same = 0;
  while (same + stretch <= most && before(a, same) === before(b, same)) same += stretch;
  while (same < most && a.charCodeAt(a.length - 1 - same) === b.charCodeAt(b.length - 1 - same)) same += 1;
  return same;
}

function isBlank(text: string, start: number, end: number): boolean {
  for (let at = start; at < end; at += 1) if (!isBlankCode(text.charCodeAt(at))) return false;
  return true;
}

/** Source: XML 1.0, production 3. */
function isBlankCode(code: number): boolean {
  return code === 32 || code === 10 || code === 9 || code === 13;
}
