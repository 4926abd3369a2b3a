import * as vscode from "vscode";
import {
  type PanelNews,
  type PanelQuestion,
  type PanelQuestions,
  panelNotifications,
  panelRequests,
  type ToPanelHost,
  type ToPanelPage,
} from "../../shared/protocol/panel.ts";
import { isScore } from "../scores.ts";
import type { Server } from "../server.ts";
import { pageHtml } from "./page.ts";

/** The kind of webview, by which the editor finds panels again after a restart. */
const viewType = "placewright.panel";
/** How long typing or the cursor must rest before the page is told, in milliseconds. */
const restMs = 90;

/** A score whose text somebody keeps, as the panel needs it. */
export interface ShownScore {
  readonly uri: vscode.Uri;
  /** Sees to it that the server knows its text. */
  ready(): Promise<void>;
  /** Shows a place of the text, where there is one to be shown. @throws Error with a sentence when there is none. */
  reveal(asks: PanelQuestions["reveal"]["asks"], own: (offset: number) => void): Promise<null>;
}

/** Panels beside their scores: one for each score that was asked for. */
export class PanelHosts {
  readonly #server: Server;
  readonly #dist: vscode.Uri;
  readonly #panels = new Map<string, PanelHost>();
  readonly #moved = new vscode.EventEmitter<void>();
  #hearing: vscode.Disposable | undefined;
  /** Another panel is in front, or none any more. */
  readonly onDidChangeActive = this.#moved.event;

  constructor(server: Server, dist: vscode.Uri) {
    this.#server = server;
    this.#dist = dist;
  }

  /** What must be let go when the extension stops. */
  register(): vscode.Disposable[] {
    return [
      this.#moved,
      this.#server.onDidStart((client) => {
        this.#hearing?.dispose();
        this.#hearing = client.onNotification(panelNotifications.changed, () => {
          for (const host of this.#panels.values()) host.toBeReadAgain();
        });
      }),
      vscode.commands.registerCommand("placewright.openPanel", () => this.#open()),
      vscode.window.registerWebviewPanelSerializer(viewType, {
        deserializeWebviewPanel: async (panel, state) => this.#restore(panel, state),
      }),
      vscode.workspace.onDidChangeTextDocument(({ document, contentChanges }) => {
        if (contentChanges.length > 0) this.#of(document)?.toBeReadAgain();
      }),
      vscode.window.onDidChangeTextEditorSelection(({ textEditor, kind }) => {
        if (kind !== undefined) this.#of(textEditor.document)?.cursorMoved(textEditor);
      }),
    ];
  }

  /** The score of the panel in front. */
  get active(): vscode.Uri | undefined {
    return [...this.#panels.values()].find(({ isActive }) => isActive)?.uri;
  }

  /** The text of a score that lies in no document of the editor's has changed. */
  textChanged(uri: vscode.Uri): void {
    this.#panels.get(uri.toString())?.toBeReadAgain();
  }

  /** Shows a score in a panel that the editor made for it. */
  attach(panel: vscode.WebviewPanel, score: ShownScore): void {
    panel.webview.options = this.#options();
    this.#host(panel, score);
  }

  #of(document: vscode.TextDocument): PanelHost | undefined {
    return this.#panels.get(document.uri.toString());
  }

  async #open(): Promise<void> {
    const editor = vscode.window.activeTextEditor;
    if (!editor || !isScore(editor.document)) {
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
    panel.iconPath = vscode.Uri.joinPath(this.#dist, "panel.svg");
    this.#host(panel, new TextScore(editor.document.uri)).cursorMoved(editor);
  }

  /**
   * Fills a panel that the editor has brought back. What the page kept may be older than the panel itself: without the
   * score's address, the score is the open text of the panel's name.
   */
  async #restore(panel: vscode.WebviewPanel, state: unknown): Promise<void> {
    const kept = (state as { readonly uri?: unknown } | undefined)?.uri;
    const uri = typeof kept === "string" ? vscode.Uri.parse(kept, true) : openTextNamed(panel.title);
    if (!uri) {
      // Not before the editor has it in its place: it waits for that.
      setTimeout(() => panel.dispose());
      return;
    }
    panel.webview.options = this.#options();
    panel.iconPath = vscode.Uri.joinPath(this.#dist, "panel.svg");
    this.#host(panel, new TextScore(uri));
  }

  #options(): vscode.WebviewOptions {
    return { enableScripts: true, localResourceRoots: [this.#dist] };
  }

  #host(panel: vscode.WebviewPanel, score: ShownScore): PanelHost {
    const host = new PanelHost(this.#server, panel, score);
    const key = score.uri.toString();
    this.#panels.set(key, host);
    panel.onDidDispose(() => {
      if (this.#panels.get(key) === host) this.#panels.delete(key);
    });
    panel.onDidChangeViewState(() => this.#moved.fire());
    panel.webview.html = pageHtml(panel.webview, this.#dist);
    this.#moved.fire();
    return host;
  }
}

function openTextNamed(name: string): vscode.Uri | undefined {
  return vscode.window.tabGroups.all
    .flatMap(({ tabs }) => tabs)
    .flatMap(({ input }) => (input instanceof vscode.TabInputText ? [input.uri] : []))
    .find(({ path }) => path.endsWith(`/${name}`));
}

/** A score that lies in a document of the editor's. */
class TextScore implements ShownScore {
  readonly uri: vscode.Uri;

  constructor(uri: vscode.Uri) {
    this.uri = uri;
  }

  /** The server answers for documents that are open; one that was closed meanwhile is opened again. */
  async ready(): Promise<void> {
    await vscode.workspace.openTextDocument(this.uri);
  }

  /** Moves the cursor to a place; only with focus is a text opened for it. */
  async reveal(
    { version, span, focus }: PanelQuestions["reveal"]["asks"],
    own: (offset: number) => void,
  ): Promise<null> {
    const document = await vscode.workspace.openTextDocument(this.uri);
    if (document.version !== version) return null;
    const range = new vscode.Range(document.positionAt(span.start), document.positionAt(span.end));
    const visible = vscode.window.visibleTextEditors.find((editor) => editor.document === document);
    if (!visible && !focus) return null;
    own(span.start);
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

/** One panel: answers the page's questions by asking the language server, and tells it what happens in the editor. */
class PanelHost {
  readonly #server: Server;
  readonly #panel: vscode.WebviewPanel;
  readonly #score: ShownScore;
  #textTimer: NodeJS.Timeout | undefined;
  #cursorTimer: NodeJS.Timeout | undefined;
  /** Where the page itself just put the cursor: that is no news to it. */
  #ownOffset: number | undefined;
  #lastCursor: PanelNews | undefined;

  constructor(server: Server, panel: vscode.WebviewPanel, score: ShownScore) {
    this.#server = server;
    this.#panel = panel;
    this.#score = score;
    panel.webview.onDidReceiveMessage((message: ToPanelHost) => void this.#hear(message));
    panel.onDidDispose(() => {
      clearTimeout(this.#textTimer);
      clearTimeout(this.#cursorTimer);
    });
  }

  get uri(): vscode.Uri {
    return this.#score.uri;
  }

  get isActive(): boolean {
    return this.#panel.active;
  }

  show(): void {
    this.#panel.reveal(undefined, true);
  }

  /** Its text is another one, or what is found in it may be. */
  toBeReadAgain(): void {
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
    return this.#score.uri.toString();
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
    const { uri } = this.#score;
    if (question === "scores") {
      const name = vscode.workspace.asRelativePath(uri);
      return [{ uri: this.#key, name }] satisfies PanelQuestions["scores"]["gets"];
    }
    if (question === "reveal") {
      return this.#score.reveal(asks as PanelQuestions["reveal"]["asks"], (offset) => {
        this.#ownOffset = offset;
      });
    }
    const client = await this.#server.running();
    await this.#score.ready();
    return client.sendRequest(panelRequests[question], {
      ...(asks as object),
      uri: client.code2ProtocolConverter.asUri(uri),
    });
  }
}
