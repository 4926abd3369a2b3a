import type { Edit } from "../text/edits.ts";
import type { Span } from "../text/span.ts";
import { leadingSpaceStart } from "./layout.ts";

/** Fingers of a hand, perhaps one over another or one beside another: `2`, `1 2 4`, `4-2-1`. */
const fingersOnly = /^[0-5](?:[\s,\-–/]*[0-5]){0,3}$/;

/** True when a text is nothing but digits of fingers. */
export function isFingerDigits(text: string): boolean {
  return fingersOnly.test(text);
}

/** A direction that says nothing but one `<words>`. */
const wordsOnly =
  /^<direction\b[^>]*>\s*<direction-type\b[^>]*>\s*<words\b[^>]*>[^<]*<\/words>\s*<\/direction-type>\s*(<(offset|voice|staff)\b[^>]*>[^<]*<\/\2>\s*)*<\/direction>$/;

/** A lyric that says nothing but one `<text>`. */
const textOnly = /^<lyric\b[^>]*>\s*(<syllabic>[^<]*<\/syllabic>\s*)?<text\b[^>]*>[^<]*<\/text>\s*<\/lyric>$/;

/**
 * The edit that takes away the `<words>` or the `<text>` of a lyric that holds digits, with the direction or the lyric
 * around it and the white space that leads up to that.
 *
 * @param span of the `<words>` or `<text>` element.
 * @returns undefined where something else would go with it.
 */
export function removeTextFingering(text: string, span: Span): Edit | undefined {
  const around =
    elementAround(text, span, "direction", wordsOnly) ?? elementAround(text, span, "lyric", textOnly);
  return around && { span: { start: leadingSpaceStart(text, around.start), end: around.end }, text: "" };
}

function elementAround(text: string, { start, end }: Span, name: string, shape: RegExp): Span | undefined {
  const close = `</${name}>`;
  let from = text.lastIndexOf(`<${name}`, start);
  while (from >= 0 && !/[\s>]/.test(text.charAt(from + name.length + 1)))
    from = text.lastIndexOf(`<${name}`, from - 1);
  const to = text.indexOf(close, end);
  if (from < 0 || to < 0) return undefined;
  const around = { start: from, end: to + close.length };
  return shape.test(text.slice(around.start, around.end)) ? around : undefined;
}
