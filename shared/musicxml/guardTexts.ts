import { applyEdits, type Edit } from "../text/edits.ts";
import { GuardError, guardedText } from "./guard.ts";
import { measurePlaces } from "./measurePlaces.ts";

/**
 * A text that takes the place of another, when nothing but fingering and brackets differs between the two: the
 * differences are found measure by measure and guarded as edits are.
 *
 * @returns `next` itself.
 * @throws GuardError naming the first place that may not differ.
 * Time O(original.length + next.length).
 */
export function guardedReplacement(original: string, next: string): string {
  if (original === next) return next;
  const edits = differences(original, next);
  if (edits.length === 0 || applyEdits(original, edits) !== next)
    throw new GuardError(original, firstDifference(original, next), "something besides the notes changes");
  return guardedText(original, edits);
}

/** One edit for each measure whose content differs, no longer than it must be. */
function differences(original: string, next: string): readonly Edit[] {
  const before = measurePlaces(original).measures ?? [];
  const after = measurePlaces(next).measures ?? [];
  if (before.length !== after.length) return [];
  return before.flatMap(({ content }, i) => {
    const was = original.slice(content.start, content.end);
    const is = next.slice(after[i]!.content.start, after[i]!.content.end);
    if (was === is) return [];
    const start = firstDifference(was, is);
    const end = sameAtEnd(was, is, Math.min(was.length, is.length) - start);
    const span = { start: content.start + start, end: content.end - end };
    return [{ span, text: is.slice(start, is.length - end) }];
  });
}

/** The offset of the first character that differs; the shorter length when one text begins with the other. */
function firstDifference(a: string, b: string): number {
  const length = Math.min(a.length, b.length);
  for (let i = 0; i < length; i += 1) if (a[i] !== b[i]) return i;
  return length;
}

/** How many characters are the same at the end, at most so many. */
function sameAtEnd(a: string, b: string, most: number): number {
  let count = 0;
  while (count < most && a[a.length - 1 - count] === b[b.length - 1 - count]) count += 1;
  return count;
}
