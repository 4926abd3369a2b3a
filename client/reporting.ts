import * as vscode from "vscode";

/** Shows the user why a command did nothing. */
export async function reporting(command: () => Promise<unknown>): Promise<void> {
  try {
    await command();
  } catch (error) {
    await vscode.window.showErrorMessage(error instanceof Error ? error.message : String(error));
  }
}
