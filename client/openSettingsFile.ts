import * as vscode from "vscode";

const fileName = "placewright.json";
const firstContent = '{\n  "profile": "usual"\n}\n';

/**
 * Opens the settings of the folder that the score in front lies in, else of the folder that is open. Where there are
 * none yet the file is made.
 * @throws Error when there is no folder.
 */
export async function openSettingsFile(container: vscode.Uri | undefined): Promise<void> {
  const score = container ?? vscode.window.activeTextEditor?.document.uri;
  const folder =
    score?.scheme === "file"
      ? vscode.Uri.joinPath(score, "..")
      : vscode.workspace.workspaceFolders?.find(({ uri }) => uri.scheme === "file")?.uri;
  if (!folder)
    throw new Error(`Save the score, or open a folder of scores: ${fileName} lies beside the scores.`);
  const file = vscode.Uri.joinPath(folder, fileName);
  const isThere = await vscode.workspace.fs.stat(file).then(
    () => true,
    () => false,
  );
  if (!isThere) await vscode.workspace.fs.writeFile(file, new TextEncoder().encode(firstContent));
  await vscode.window.showTextDocument(await vscode.workspace.openTextDocument(file));
}
