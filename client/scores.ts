import * as vscode from "vscode";

/** So many characters from its beginning tell what an XML text is. */
const beginning = 4096;

/** Where scores lie that the server is told of. The old side of a comparison has another scheme and is left alone. */
export const scoreSchemes = ["file", "untitled"] as const;

/** MusicXML by its language, or XML that is a score by its outermost element. */
export function isScore(document: vscode.TextDocument): boolean {
  if (!scoreSchemes.some((scheme) => scheme === document.uri.scheme)) return false;
  if (document.languageId === "musicxml") return true;
  if (document.languageId !== "xml") return false;
  const start = document.getText(new vscode.Range(document.positionAt(0), document.positionAt(beginning)));
  return /<(?:!DOCTYPE\s+)?score-(?:partwise|timewise)\b/.test(start);
}
