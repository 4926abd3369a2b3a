/** The line end before the line that an offset stands in: what is added there ends its lines alike. */
export function lineEndBefore(text: string, offset: number): string {
  const indent = indentBefore(text, offset);
  const at = offset - (indent?.length ?? 0);
  if (text[at - 1] === "\n") return text[at - 2] === "\r" ? "\r\n" : "\n";
  return text[at - 1] === "\r" ? "\r" : "\n";
}

/**
 * The white space between the start of a line and an element that begins that line; undefined when something else
 * stands before it, as in a file without line breaks.
 */
export function indentBefore(text: string, offset: number): string | undefined {
  let at = offset;
  while (at > 0 && (text[at - 1] === " " || text[at - 1] === "\t")) at -= 1;
  return at === 0 || text[at - 1] === "\n" || text[at - 1] === "\r" ? text.slice(at, offset) : undefined;
}

/** Where the white space that leads up to an element begins: its own indentation and the line end before it. */
export function leadingSpaceStart(text: string, offset: number): number {
  const indent = indentBefore(text, offset);
  if (indent === undefined) return offset;
  let at = offset - indent.length;
  if (at > 0 && text[at - 1] === "\n") at -= 1;
  if (at > 0 && text[at - 1] === "\r") at -= 1;
  return at;
}

/** One level of indentation: what a child has more than its parent. */
export function indentUnit(parent: string | undefined, child: string | undefined): string {
  if (child === undefined || parent === undefined || !child.startsWith(parent)) {
    return (child ?? parent)?.includes("\t") ? "\t" : "  ";
  }
  return child.slice(parent.length);
}
