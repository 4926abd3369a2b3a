import type { ExtensionContext } from "vscode";
import * as vscode from "vscode";
import { LanguageClient, type LanguageClientOptions, TransportKind } from "vscode-languageclient/node";
import { registerCommands } from "./commands.ts";
import { PanelHosts } from "./panel/host.ts";

let client: LanguageClient | undefined;

/** Starts the language server, which reads the scores that are open and will be. */
export async function activate(context: ExtensionContext): Promise<void> {
  const output = vscode.window.createOutputChannel("Placewright", { log: true });
  const module = context.asAbsolutePath("dist/server.cjs");
  client = new LanguageClient(
    "placewright",
    "Placewright",
    {
      run: { module, transport: TransportKind.ipc },
      debug: { module, transport: TransportKind.ipc, options: { execArgv: ["--nolazy", "--inspect=6017"] } },
    },
    { documentSelector: scoreSelector(), outputChannel: output },
  );
  const panels = new PanelHosts(client, vscode.Uri.joinPath(context.extensionUri, "dist"));
  context.subscriptions.push(output, ...registerCommands(client), ...panels.register());
  await client.start();
}

export async function deactivate(): Promise<void> {
  await client?.dispose();
}

/**
 * MusicXML by its language, and XML whose name may hold a score: the server looks into those and keeps quiet about
 * the ones that are something else. The old side of a comparison has another scheme and is left alone.
 */
function scoreSelector(): LanguageClientOptions["documentSelector"] {
  return ["file", "untitled"].flatMap((scheme) => [
    { scheme, language: "musicxml" },
    { scheme, language: "xml", pattern: "**/*.{musicxml,xml}" },
  ]);
}
