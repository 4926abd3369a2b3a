import type { Position, PublishDiagnosticsParams } from "vscode-languageserver/node";
import type { LspClient } from "./lspClient.ts";
import { positionAt } from "./scriptedEditor.ts";

/** Types at one finger of a document again and again, and keeps no copy of the text, so that it costs nothing itself. */
export class Typist {
  readonly #client: LspClient;
  readonly uri: string;
  readonly #finger: Position;
  #version = 1;

  constructor(client: LspClient, uri: string, text: string) {
    this.#client = client;
    this.uri = uri;
    const { index, 0: element } = /<fingering[^>]*>\d/.exec(text.slice(text.length / 2))!;
    this.#finger = positionAt(text, Math.floor(text.length / 2) + index + element.length - 1);
    client.notify("textDocument/didOpen", {
      textDocument: { uri, languageId: "musicxml", version: this.#version, text },
    });
  }

  /** Types over the finger. */
  type(digit: number): void {
    const { line, character } = this.#finger;
    this.#version += 1;
    this.#client.notify("textDocument/didChange", {
      textDocument: { uri: this.uri, version: this.#version },
      contentChanges: [
        { range: { start: { line, character }, end: { line, character: character + 1 } }, text: `${digit}` },
      ],
    });
  }

  /** Findings of the version that was typed last. */
  async findings(): Promise<PublishDiagnosticsParams> {
    const message = await this.#client.next(({ method, params }) => {
      const { uri, version } = params as PublishDiagnosticsParams;
      return method === "textDocument/publishDiagnostics" && uri === this.uri && version === this.#version;
    }, `findings of ${this.uri}`);
    return message.params as PublishDiagnosticsParams;
  }
}
