import * as vscode from "vscode";
import { registerCommands } from "./commands.ts";
import { ContainerEditors } from "./container/containerEditors.ts";
import { openDemo } from "./openDemo.ts";
import { openSettingsFile } from "./openSettingsFile.ts";
import { PanelHosts } from "./panel/host.ts";
import { reporting } from "./reporting.ts";
import { isScore } from "./scores.ts";
import { Server } from "./server.ts";
import { ScoreStatus } from "./status.ts";

let server: Server | undefined;

/**
 * Puts everything in place and starts nothing: the language server and all that speaks with it are loaded once there
 * is a score, for this runs for every XML file.
 */
export function activate(context: vscode.ExtensionContext): void {
  const started = new Server(context);
  server = started;
  const panels = new PanelHosts(started, vscode.Uri.joinPath(context.extensionUri, "dist"));
  started.status = new ScoreStatus(panels);
  const containers = new ContainerEditors(started, panels);
  started.edits = (edit) => containers.apply(edit);
  const look = (document: vscode.TextDocument): void => {
    if (isScore(document)) started.wake();
  };
  const command = (name: string, run: () => Promise<unknown>): vscode.Disposable =>
    vscode.commands.registerCommand(`placewright.${name}`, () => reporting(run));
  context.subscriptions.push(
    started,
    ...panels.register(),
    ...containers.register(),
    ...registerCommands(started, containers),
    command("openDemo", () => openDemo(context.extensionUri)),
    command("openSettingsFile", () => openSettingsFile(containers.active)),
    vscode.workspace.onDidOpenTextDocument(look),
    vscode.workspace.onDidSaveTextDocument(look),
  );
  for (const document of vscode.workspace.textDocuments) look(document);
}

export async function deactivate(): Promise<void> {
  await server?.stop();
}
