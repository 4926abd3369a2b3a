import * as vscode from "vscode";
import { type FingerRequest, type FingerScope, fingerCommand } from "../shared/protocol/commands.ts";
import type { ContainerEditors } from "./container/containerEditors.ts";
import { reporting } from "./reporting.ts";
import type { Server } from "./server.ts";

/** Each command of the palette and how much it fingers. */
const scopes: readonly (readonly [command: string, scope: FingerScope])[] = [
  ["placewright.fingerPlacing", "placing"],
  ["placewright.fingerBar", "bar"],
  ["placewright.fingerHand", "hand"],
  ["placewright.fingerScore", "score"],
];

/** Registers the palette's commands. They act on the score at the cursor and keep what is printed. */
export function registerCommands(server: Server, containers: ContainerEditors): vscode.Disposable[] {
  const register = (command: string, run: () => Promise<unknown>): vscode.Disposable =>
    vscode.commands.registerCommand(command, () => reporting(run));
  return [
    ...scopes.map(([command, scope]) => register(command, () => finger(server, containers, scope))),
    register("placewright.restartServer", () => server.restart()),
    register("placewright.showOutput", async () => server.output.show()),
  ];
}

async function finger(server: Server, containers: ContainerEditors, scope: FingerScope): Promise<void> {
  const client = await server.running();
  const container = containers.active;
  if (container && scope !== "score")
    throw new Error("Choose the bars in the panel: a compressed score has no text for a cursor to stand in.");
  const editor = vscode.window.activeTextEditor;
  const place = container
    ? { uri: container, version: containers.versionOf(container), at: new vscode.Position(0, 0) }
    : editor && { uri: editor.document.uri, version: editor.document.version, at: editor.selection.active };
  if (!place) throw new Error("Open a MusicXML score and put the cursor in the music to finger.");
  const request: FingerRequest = {
    uri: client.code2ProtocolConverter.asUri(place.uri),
    scope,
    position: client.code2ProtocolConverter.asPosition(place.at),
    mode: "keep",
    version: place.version,
  };
  await client.sendRequest("workspace/executeCommand", { command: fingerCommand, arguments: [request] });
}
