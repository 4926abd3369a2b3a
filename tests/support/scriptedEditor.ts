import type {
  CodeAction,
  Command,
  Diagnostic,
  Hover,
  InitializeResult,
  Position,
  PublishDiagnosticsParams,
  Range,
  TextDocumentContentChangeEvent,
  TextEdit,
  WorkspaceEdit,
} from "vscode-languageserver/node";
import type { LspClient } from "./lspClient.ts";

/** What an editor with everything that the server uses says of itself. */
export const ableEditor = {
  general: { positionEncodings: ["utf-16"] },
  workspace: { applyEdit: true, workspaceEdit: { documentChanges: true } },
  textDocument: {
    synchronization: { dynamicRegistration: false },
    publishDiagnostics: { relatedInformation: true, versionSupport: true },
    hover: { contentFormat: ["markdown", "plaintext"] },
    codeAction: {
      dataSupport: true,
      resolveSupport: { properties: ["edit"] },
      codeActionLiteralSupport: { codeActionKind: { valueSet: ["", "quickfix", "refactor"] } },
    },
  },
};

/** One change of a text: what is replaced, in offsets, and by what. */
export interface Change {
  readonly start: number;
  readonly end: number;
  readonly text: string;
}

/** Keeps a document the way an editor does and applies the server's edits to its own copy. */
export class ScriptedEditor {
  readonly client: LspClient;
  readonly uri: string;
  text: string;
  version = 1;

  constructor(client: LspClient, uri: string, text: string) {
    this.client = client;
    this.uri = uri;
    this.text = text;
  }

  async initialize(
    capabilities: object = ableEditor,
    initializationOptions?: object,
  ): Promise<InitializeResult> {
    const result = await this.client.request<InitializeResult>("initialize", {
      processId: process.pid,
      rootUri: null,
      capabilities,
      initializationOptions,
    });
    this.client.notify("initialized", {});
    this.client.answers.set("workspace/applyEdit", (params) => {
      const { edit } = params as { edit: WorkspaceEdit };
      return { applied: this.applyIfFresh(edit) };
    });
    return result;
  }

  /** Opens the document. @returns what is found in it. */
  open(languageId = "musicxml"): Promise<PublishDiagnosticsParams> {
    const found = this.diagnostics();
    const { uri, version, text } = this;
    this.client.notify("textDocument/didOpen", { textDocument: { uri, languageId, version, text } });
    return found;
  }

  close(): void {
    this.client.notify("textDocument/didClose", { textDocument: { uri: this.uri } });
  }

  /** Findings that come from now on for the version that the text has when they come. */
  async diagnostics(): Promise<PublishDiagnosticsParams> {
    const message = await this.client.next(({ method, params }) => {
      const { uri, version } = params as PublishDiagnosticsParams;
      return method === "textDocument/publishDiagnostics" && uri === this.uri && version === this.version;
    }, `diagnostics of ${this.uri}`);
    return message.params as PublishDiagnosticsParams;
  }

  /** The next findings that come, for whichever version, or none: a list that is emptied names no version. */
  async diagnosticsOfAnyVersion(): Promise<PublishDiagnosticsParams> {
    const message = await this.client.next(
      ({ method, params }) =>
        method === "textDocument/publishDiagnostics" && (params as PublishDiagnosticsParams).uri === this.uri,
      `diagnostics of ${this.uri}`,
    );
    return message.params as PublishDiagnosticsParams;
  }

  /** Types: each change applies to the text that the one before left; all of them are one notification. */
  change(...changes: readonly Change[]): void {
    const contentChanges = changes.map(({ start, end, text }) => {
      const range = { start: positionAt(this.text, start), end: positionAt(this.text, end) };
      this.text = this.text.slice(0, start) + text + this.text.slice(end);
      return { range, text };
    });
    this.#send(contentChanges);
  }

  /** Sends the text that the document now has in place of the one before. */
  changeAll(text: string): void {
    this.text = text;
    this.#send([{ text }]);
  }

  #send(contentChanges: readonly TextDocumentContentChangeEvent[]): void {
    this.version += 1;
    const textDocument = { uri: this.uri, version: this.version };
    this.client.notify("textDocument/didChange", { textDocument, contentChanges });
  }

  /** Replaces the only occurrence of a string. */
  replace(old: string, text: string): void {
    const start = this.text.indexOf(old);
    if (start < 0 || this.text.indexOf(old, start + 1) >= 0) throw new Error(`not once in the text: ${old}`);
    this.change({ start, end: start + old.length, text });
  }

  codeActions(range: Range, diagnostics: readonly Diagnostic[] = []): Promise<(CodeAction & Command)[]> {
    const textDocument = { uri: this.uri };
    return this.client.request("textDocument/codeAction", { textDocument, range, context: { diagnostics } });
  }

  resolve(action: CodeAction): Promise<CodeAction> {
    return this.client.request("codeAction/resolve", action);
  }

  hover(position: Position): Promise<Hover | null> {
    return this.client.request("textDocument/hover", { textDocument: { uri: this.uri }, position });
  }

  execute<R>(command: string, argument: unknown): Promise<R> {
    return this.client.request("workspace/executeCommand", { command, arguments: [argument] });
  }

  /** The place of the n-th occurrence of a string. */
  placeOf(needle: string, n = 0): Position {
    let at = this.text.indexOf(needle);
    for (let i = 0; i < n; i += 1) at = this.text.indexOf(needle, at + 1);
    if (at < 0) throw new Error(`not in the text: ${needle}`);
    return positionAt(this.text, at);
  }

  /** Applies a workspace edit and tells the server. @returns false for an edit of an older text, as editors do. */
  applyIfFresh(edit: WorkspaceEdit): boolean {
    const edits = this.editsOf(edit);
    if (!edits) return false;
    const starts = lineStarts(this.text);
    const placed = edits
      .map(({ range, newText }) => ({
        start: starts[range.start.line]! + range.start.character,
        end: starts[range.end.line]! + range.end.character,
        change: { range, text: newText },
      }))
      // From the end backwards every place stays true. Insertions at one place keep the order of the list.
      .reverse()
      .sort((a, b) => b.start - a.start || b.end - a.end);
    let before = this.text;
    let after = "";
    for (const { start, end, change } of placed) {
      after = change.text + before.slice(end) + after;
      before = before.slice(0, start);
    }
    this.text = before + after;
    this.#send(placed.map(({ change }) => change));
    return true;
  }

  /** The edits of this document, in the list's order; undefined when they are for another version. */
  editsOf(edit: WorkspaceEdit): readonly TextEdit[] | undefined {
    if (!edit.documentChanges) return edit.changes?.[this.uri] ?? [];
    const edits: TextEdit[] = [];
    for (const change of edit.documentChanges) {
      if (!("textDocument" in change) || change.textDocument.uri !== this.uri)
        throw new Error("unknown document");
      if (change.textDocument.version !== this.version) return undefined;
      for (const textEdit of change.edits) edits.push(textEdit as TextEdit);
    }
    return edits;
  }
}

/** Where each line begins. Source: LSP 3.17, text documents: line ends are LF, CRLF and CR. */
function lineStarts(text: string): number[] {
  return [0, ...[...text.matchAll(/\r\n|\n|\r/g)].map((match) => match.index + match[0].length)];
}

/** In lines and UTF-16 units, both from 0. */
export function positionAt(text: string, offset: number): Position {
  const starts = lineStarts(text.slice(0, offset));
  const start = starts[starts.length - 1]!;
  return { line: starts.length - 1, character: offset - start };
}

export function offsetAt(text: string, position: Position): number {
  const start = lineStarts(text)[position.line];
  if (start === undefined) throw new Error(`there is no line ${position.line}`);
  return start + position.character;
}
