import * as vscode from "vscode";

/** The kind of editor that shows compressed scores, as package.json names it. */
export const containerViewType = "placewright.compressedScore";

/** The compressed score in front. */
export function activeContainer(): vscode.Uri | undefined {
  const input = vscode.window.tabGroups.activeTabGroup.activeTab?.input;
  return input instanceof vscode.TabInputCustom && input.viewType === containerViewType
    ? input.uri
    : undefined;
}
