import * as vscode from "vscode";
import type { LanguageClient } from "vscode-languageclient/node";
import {
  type PanelNews,
  type PanelQuestion,
  type PanelQuestions,
  panelRequests,
  type ToPanelHost,
  type ToPanelPage,
} from "../../shared/protocol/panel.ts";
import { pageHtml } from "./page.ts";

/** The kind of webview, by which the editor finds panels again after a restart. */
const viewType = "placewright.panel";
/** How long typing or the cursor must rest before the page is told, in milliseconds. */
const restMs = 90;

/** Panels beside their scores: one for each score that was asked for. */
export class PanelHosts {
  readonly #client: LanguageClient;
  readonly #dist: vscode.Uri;
  readonly #panels = new Map<string, PanelHost>();

  constructor(client: LanguageClient, dist: vscode.Uri) {
    this.#client = client;
    this.#dist = dist;
  }

  /** What must be let go when the extension stops. */
  register(): vscode.Disposable[] {
    return [
      vscode.commands.registerCommand("placewright.openPanel", () => this.#open()),
      vscode.window.registerWebviewPanelSerializer(viewType, {
        deserializeWebviewPanel: async (panel, state) => this.#restore(panel, state),
      }),
      vscode.workspace.onDidChangeTextDocument(({ document, contentChanges }) => {
        if (contentChanges.length > 0) this.#of(document)?.textChanged();
      }),
      vscode.window.onDidChangeTextEditorSelection(({ textEditor, kind }) => {
        if (kind !== undefined) this.#of(textEditor.document)?.cursorMoved(textEditor);
      }),
    ];
  }

  #of(document: vscode.TextDocument): PanelHost | undefined {
    return this.#panels.get(document.uri.toString());
  }

  async #open(): Promise<void> {
    const editor = vscode.window.activeTextEditor;
    if (!editor) {
      await vscode.window.showErrorMessage(
        "Open a MusicXML score first; the panel shows the score at the cursor.",
      );
      return;
    }
    const known = this.#of(editor.document);
    if (known) {
      known.show();
      return;
    }
    const name = vscode.workspace.asRelativePath(editor.document.uri).split("/").at(-1) ?? "Score";
    const panel = vscode.window.createWebviewPanel(
      viewType,
      name,
      { viewColumn: vscode.ViewColumn.Beside, preserveFocus: true },
      this.#options(),
    );
    this.#host(panel, editor.document.uri).cursorMoved(editor);
  }

  async #restore(panel: vscode.WebviewPanel, state: unknown): Promise<void> {
    const uri = (state as { readonly uri?: unknown } | undefined)?.uri;
    if (typeof uri !== "string") {
      panel.dispose();
      return;
    }
    panel.webview.options = this.#options();
    this.#host(panel, vscode.Uri.parse(uri, true));
  }

  #options(): vscode.WebviewOptions {
    return { enableScripts: true, localResourceRoots: [this.#dist] };
  }

  #host(panel: vscode.WebviewPanel, uri: vscode.Uri): PanelHost {
    const host = new PanelHost(this.#client, panel, uri);
    const key = uri.toString();
    this.#panels.set(key, host);
    panel.onDidDispose(() => {
      if (this.#panels.get(key) === host) this.#panels.delete(key);
    });
    panel.webview.html = pageHtml(panel.webview, this.#dist);
    return host;
  }
}

/** One panel: answers the page's questions by asking the language server, and tells it what happens in the editor. */
class PanelHost {
  readonly #client: LanguageClient;
  readonly #panel: vscode.WebviewPanel;
  readonly #uri: vscode.Uri;
  #textTimer: NodeJS.Timeout | undefined;
  #cursorTimer: NodeJS.Timeout | undefined;
  /** Where the page itself just put the cursor: that is no news to it. */
  #ownOffset: number | undefined;
  #lastCursor: PanelNews | undefined;

  constructor(client: LanguageClient, panel: vscode.WebviewPanel, uri: vscode.Uri) {
    this.#client = client;
    this.#panel = panel;
    this.#uri = uri;
    panel.webview.onDidReceiveMessage((message: ToPanelHost) => void this.#hear(message));
    panel.onDidDispose(() => {
      clearTimeout(this.#textTimer);
      clearTimeout(this.#cursorTimer);
    });
  }

  show(): void {
    this.#panel.reveal(undefined, true);
  }

  textChanged(): void {
    clearTimeout(this.#textTimer);
    this.#textTimer = setTimeout(() => this.#tell({ kind: "changed", uri: this.#key }), restMs);
  }

  cursorMoved({ document, selection }: vscode.TextEditor): void {
    const offset = document.offsetAt(selection.active);
    if (offset === this.#ownOffset) return;
    this.#ownOffset = undefined;
    clearTimeout(this.#cursorTimer);
    this.#lastCursor = { kind: "cursor", uri: this.#key, version: document.version, offset };
    this.#cursorTimer = setTimeout(() => {
      const { version } = document;
      this.#tell({ kind: "cursor", uri: this.#key, version, offset });
    }, restMs);
  }

  get #key(): string {
    return this.#uri.toString();
  }

  #tell(news: PanelNews): void {
    this.#post({ kind: "news", news });
  }

  #post(message: ToPanelPage): void {
    void this.#panel.webview.postMessage(message);
  }

  async #hear(message: ToPanelHost): Promise<void> {
    if (message.kind === "ready") {
      this.#tell({ kind: "show", uri: this.#key });
      if (this.#lastCursor) this.#tell(this.#lastCursor);
      return;
    }
    const { id, question, asks } = message;
    try {
      this.#post({ kind: "answer", id, gets: await this.#answer(question, asks) });
    } catch (error) {
      this.#post({ kind: "refusal", id, why: error instanceof Error ? error.message : String(error) });
    }
  }

  async #answer(question: PanelQuestion, asks: unknown): Promise<unknown> {
    if (question === "scores") {
      const name = vscode.workspace.asRelativePath(this.#uri);
      return [{ uri: this.#key, name }] satisfies PanelQuestions["scores"]["gets"];
    }
    if (question === "reveal") return this.#reveal(asks as PanelQuestions["reveal"]["asks"]);
    // The server answers for documents that are open; one that was closed meanwhile is opened again.
    await vscode.workspace.openTextDocument(this.#uri);
    await this.#client.start();
    const uri = this.#client.code2ProtocolConverter.asUri(this.#uri);
    return this.#client.sendRequest(panelRequests[question], { ...(asks as object), uri });
  }

  /** Moves the cursor to a place; only with focus is a text opened for it. */
  async #reveal({ version, span, focus }: PanelQuestions["reveal"]["asks"]): Promise<null> {
    const document = await vscode.workspace.openTextDocument(this.#uri);
    if (document.version !== version) return null;
    const range = new vscode.Range(document.positionAt(span.start), document.positionAt(span.end));
    const visible = vscode.window.visibleTextEditors.find((editor) => editor.document === document);
    if (!visible && !focus) return null;
    this.#ownOffset = span.start;
    const editor =
      focus || !visible
        ? await vscode.window.showTextDocument(document, {
            viewColumn: visible?.viewColumn ?? vscode.ViewColumn.One,
            preserveFocus: !focus,
          })
        : visible;
    editor.selection = new vscode.Selection(range.start, range.start);
    editor.revealRange(range, vscode.TextEditorRevealType.InCenterIfOutsideViewport);
    return null;
  }
}
