import type { Connection } from "vscode-languageserver/node";
import type { ClientFeatures } from "./features.ts";

/** Something else than a text has changed: lets the editor ask again for what it shows, as far as it knows how. */
export function refreshEditor(connection: Connection, { refreshes }: ClientFeatures): void {
  const asked: Promise<void>[] = [];
  if (refreshes.diagnostics) asked.push(Promise.resolve(connection.languages.diagnostics.refresh()));
  if (refreshes.inlayHints) asked.push(connection.languages.inlayHint.refresh());
  if (refreshes.codeLenses) asked.push(connection.sendRequest("workspace/codeLens/refresh"));
  for (const answer of asked) {
    answer.catch((error: unknown) =>
      connection.console.error(`the editor was not refreshed: ${String(error)}`),
    );
  }
}
