import * as vscode from "vscode";

/** Opens a copy of a demo score that is saved nowhere yet: it may be changed as one likes. */
export async function openDemo(extension: vscode.Uri): Promise<void> {
  const file = vscode.Uri.joinPath(extension, "fixtures", "demo", "lantern-waltz.musicxml");
  const content = new TextDecoder().decode(await vscode.workspace.fs.readFile(file));
  const document = await vscode.workspace.openTextDocument({ language: "musicxml", content });
  await vscode.window.showTextDocument(document);
}
