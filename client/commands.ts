import * as vscode from "vscode";
import { ExecuteCommandRequest, type LanguageClient } from "vscode-languageclient/node";
import { type FingerRequest, type FingerScope, fingerCommand } from "../shared/protocol/commands.ts";

/** Each command of the palette and how much it fingers. */
const scopes: readonly (readonly [command: string, scope: FingerScope])[] = [
  ["placewright.fingerPlacing", "placing"],
  ["placewright.fingerBar", "bar"],
  ["placewright.fingerHand", "hand"],
  ["placewright.fingerScore", "score"],
];

/** Registers the palette's commands. They act on the score at the cursor and keep what is printed. */
export function registerCommands(client: LanguageClient): vscode.Disposable[] {
  return [
    ...scopes.map(([command, scope]) =>
      vscode.commands.registerCommand(command, () => reporting(() => finger(client, scope))),
    ),
    vscode.commands.registerCommand("placewright.restartServer", () => reporting(() => restart(client))),
  ];
}

async function finger(client: LanguageClient, scope: FingerScope): Promise<void> {
  const editor = vscode.window.activeTextEditor;
  if (!editor) throw new Error("Open a MusicXML score and put the cursor in the music to finger.");
  await client.start();
  const request: FingerRequest = {
    uri: client.code2ProtocolConverter.asUri(editor.document.uri),
    scope,
    position: client.code2ProtocolConverter.asPosition(editor.selection.active),
    mode: "keep",
    version: editor.document.version,
  };
  await client.sendRequest(ExecuteCommandRequest.type, { command: fingerCommand, arguments: [request] });
}

async function restart(client: LanguageClient): Promise<void> {
  await (client.isRunning() ? client.restart() : client.start());
}

/** Shows the user why a command did nothing. */
async function reporting(command: () => Promise<void>): Promise<void> {
  try {
    await command();
  } catch (error) {
    await vscode.window.showErrorMessage(error instanceof Error ? error.message : String(error));
  }
}
