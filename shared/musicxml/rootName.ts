const beforeRoot = /^\uFEFF?(?:\s+|<\?[\s\S]*?\?>|<!--[\s\S]*?-->)*/;
const startTag = /^<([^\s/>!?]+)/;

/**
 * The name of a document's root element, found without reading the document.
 * @returns undefined when the text breaks off or is broken before it.
 */
export function rootName(text: string): string | undefined {
  let rest = text.slice(beforeRoot.exec(text)![0].length);
  if (rest.startsWith("<!DOCTYPE")) {
    const end = doctypeEnd(rest);
    if (end === undefined) return undefined;
    rest = rest.slice(end);
    rest = rest.slice(beforeRoot.exec(rest)![0].length);
  }
  return startTag.exec(rest)?.[1];
}

/** Whether the document is a MusicXML score. Source: MusicXML 4.0, elements score-partwise and score-timewise. */
export function isScore(root: string | undefined): boolean {
  return root === "score-partwise" || root === "score-timewise";
}

/** What a `>` or a bracket means nothing in: literals, comments and processing instructions. */
const closed = /"[^"]*"|'[^']*'|<!--[\s\S]*?-->|<\?[\s\S]*?\?>|[[\]>]/g;

/** Where a document type ends: at the first `>` outside its internal subset. */
function doctypeEnd(text: string): number | undefined {
  let inSubset = false;
  for (const { 0: token, index } of text.matchAll(closed)) {
    if (token === "[") inSubset = true;
    else if (token === "]") inSubset = false;
    else if (token === ">" && !inSubset) return index + 1;
  }
  return undefined;
}
