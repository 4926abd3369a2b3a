import * as vscode from "vscode";
import type { ApplyWorkspaceEditParams } from "vscode-languageclient";
import {
  containerRequests,
  type SaveContainerRequest,
  type SavedContainer,
  type UnpackedScore,
} from "../../shared/protocol/container.ts";
import type { PanelHosts, ShownScore } from "../panel/host.ts";
import type { Server } from "../server.ts";
import { ContainerText } from "./containerText.ts";
import { activeContainer, containerViewType } from "./viewType.ts";

/** A compressed score that is open. */
class ContainerDocument implements vscode.CustomDocument, ShownScore {
  readonly uri: vscode.Uri;
  readonly text: ContainerText;
  /** The file as it was last read or written. */
  bytes: Uint8Array;
  readonly #ready: () => Promise<void>;
  readonly #closed: () => void;

  constructor(
    uri: vscode.Uri,
    bytes: Uint8Array,
    text: ContainerText,
    hooks: { readonly ready: () => Promise<void>; readonly closed: () => void },
  ) {
    this.uri = uri;
    this.bytes = bytes;
    this.text = text;
    this.#ready = hooks.ready;
    this.#closed = hooks.closed;
  }

  ready(): Promise<void> {
    return this.#ready();
  }

  async reveal({ focus }: { readonly focus: boolean }): Promise<null> {
    if (focus)
      throw new Error("A compressed score has no text to go to. Save it as .musicxml to work on its text.");
    return null;
  }

  dispose(): void {
    this.#closed();
  }
}

/**
 * Shows compressed scores in the panel, and saves them: the server unpacks them, is told of their text as of any
 * other, and packs them again when nothing but fingering and brackets has changed.
 */
export class ContainerEditors implements vscode.CustomEditorProvider<ContainerDocument> {
  readonly #server: Server;
  readonly #panels: PanelHosts;
  readonly #documents = new Map<string, ContainerDocument>();
  readonly #changed = new vscode.EventEmitter<vscode.CustomDocumentEditEvent<ContainerDocument>>();
  readonly onDidChangeCustomDocument = this.#changed.event;

  constructor(server: Server, panels: PanelHosts) {
    this.#server = server;
    this.#panels = panels;
  }

  /** What must be let go when the extension stops. */
  register(): vscode.Disposable[] {
    return [
      vscode.window.registerCustomEditorProvider(containerViewType, this, {
        supportsMultipleEditorsPerDocument: false,
      }),
      this.#server.onDidStart(() => {
        for (const document of this.#documents.values()) void this.#tellOpened(document);
      }),
      this.#changed,
    ];
  }

  /** The compressed score in front. */
  get active(): vscode.Uri | undefined {
    return activeContainer();
  }

  /** @throws Error when it is not open. */
  versionOf(uri: vscode.Uri): number {
    const document = this.#documents.get(uri.toString());
    if (!document) throw new Error("The score is not open any more.");
    return document.text.version;
  }

  /** Takes an edit of the server's when it is for a compressed score; whether it could be made. */
  apply({ label, edit }: ApplyWorkspaceEditParams): Promise<boolean> | undefined {
    const change = edit.documentChanges?.[0];
    if (!change || !("textDocument" in change)) return undefined;
    const document = this.#documents.get(vscode.Uri.parse(change.textDocument.uri).toString());
    if (!document) return undefined;
    const edits = change.edits.filter((each) => "newText" in each);
    return Promise.resolve(this.#edit(document, edits, change.textDocument.version, label ?? "Finger"));
  }

  #edit(
    document: ContainerDocument,
    edits: Parameters<ContainerText["edit"]>[0],
    version: number | null,
    label: string,
  ): boolean {
    const step = document.text.edit(edits, version);
    if (!step) return false;
    const safely = (go: () => void) => (): void => {
      try {
        go();
      } catch (error) {
        void vscode.window.showWarningMessage((error as Error).message);
      }
    };
    this.#changed.fire({ document, label, undo: safely(step.undo), redo: safely(step.redo) });
    return true;
  }

  async openCustomDocument(
    uri: vscode.Uri,
    { backupId }: vscode.CustomDocumentOpenContext,
  ): Promise<ContainerDocument> {
    if (uri.scheme !== "file")
      throw new Error("A compressed score is opened from a disk only: save it there first.");
    const bytes = await vscode.workspace.fs.readFile(uri);
    const saved = await this.#unpack(bytes);
    const backup =
      backupId === undefined
        ? undefined
        : await this.#unpack(await vscode.workspace.fs.readFile(vscode.Uri.parse(backupId)));
    const watcher = this.#watch(uri);
    const text = new ContainerText(backup ?? saved, saved, () => void this.#tellChanged(document));
    const document: ContainerDocument = new ContainerDocument(uri, bytes, text, {
      ready: async () => void (await this.#server.running()),
      closed: () => {
        watcher.dispose();
        this.#documents.delete(uri.toString());
        void this.#tell("textDocument/didClose", { textDocument: { uri: uri.toString() } });
      },
    });
    this.#documents.set(uri.toString(), document);
    await this.#tellOpened(document);
    return document;
  }

  async resolveCustomEditor(document: ContainerDocument, panel: vscode.WebviewPanel): Promise<void> {
    this.#panels.attach(panel, document);
  }

  async saveCustomDocument(document: ContainerDocument): Promise<void> {
    const { text } = document.text;
    document.bytes = await this.#save(document, document.uri, text, true);
    document.text.saved(text);
  }

  async saveCustomDocumentAs(document: ContainerDocument, destination: vscode.Uri): Promise<void> {
    if (destination.toString() === document.uri.toString()) await this.saveCustomDocument(document);
    else await this.#save(document, destination, document.text.text, false);
  }

  async revertCustomDocument(document: ContainerDocument): Promise<void> {
    document.bytes = await vscode.workspace.fs.readFile(document.uri);
    document.text.revert(await this.#unpack(document.bytes));
  }

  async backupCustomDocument(
    document: ContainerDocument,
    { destination }: vscode.CustomDocumentBackupContext,
  ): Promise<vscode.CustomDocumentBackup> {
    await vscode.workspace.fs.createDirectory(vscode.Uri.joinPath(destination, ".."));
    await this.#save(document, destination, document.text.text, false);
    const remove = async (): Promise<void> => {
      await vscode.workspace.fs.delete(destination).then(undefined, () => undefined);
    };
    return { id: destination.toString(), delete: () => void remove() };
  }

  /** @throws Error with a sentence when the bytes are no score. */
  async #unpack(bytes: Uint8Array): Promise<string> {
    const client = await this.#server.running();
    const { text } = await client.sendRequest<UnpackedScore>(containerRequests.unpack, {
      bytes: Buffer.from(bytes).toString("base64"),
    });
    return text;
  }

  /** @returns the bytes that were written. @throws Error with a sentence when nothing was. */
  async #save(
    document: ContainerDocument,
    to: vscode.Uri,
    text: string,
    replaces: boolean,
  ): Promise<Uint8Array> {
    const client = await this.#server.running();
    const request: SaveContainerRequest = {
      uri: to.toString(),
      container: Buffer.from(document.bytes).toString("base64"),
      text,
      replaces,
    };
    const { bytes } = await client.sendRequest<SavedContainer>(containerRequests.save, request);
    return Buffer.from(bytes, "base64");
  }

  /** Looks after a file that another program may save over. */
  #watch(uri: vscode.Uri): vscode.Disposable {
    const folder = vscode.Uri.joinPath(uri, "..");
    const watcher = vscode.workspace.createFileSystemWatcher(new vscode.RelativePattern(folder, "*"));
    const look = (changed: vscode.Uri): void => {
      const document = this.#documents.get(uri.toString());
      if (document && changed.toString() === uri.toString())
        this.#fileChanged(document).catch((error: unknown) =>
          this.#server.output.error(error instanceof Error ? error : String(error)),
        );
    };
    watcher.onDidChange(look);
    watcher.onDidCreate(look);
    return watcher;
  }

  async #fileChanged(document: ContainerDocument): Promise<void> {
    const bytes = await vscode.workspace.fs.readFile(document.uri);
    if (Buffer.from(bytes).equals(document.bytes)) return;
    const saved = await this.#unpack(bytes);
    if (document.text.isChanged && saved !== document.text.text) {
      const take = "Show the file's state";
      const keep = "Keep what I did";
      const name = vscode.workspace.asRelativePath(document.uri);
      const choice = await vscode.window.showWarningMessage(
        `Another program saved ${name}, and you have changed it here. Which of the two is to stay?`,
        take,
        keep,
      );
      if (choice !== take) {
        if (choice === keep) {
          document.bytes = bytes;
          document.text.keepOver(saved);
        }
        return;
      }
    }
    document.bytes = bytes;
    document.text.revert(saved);
  }

  async #tellOpened({ uri, text }: ContainerDocument): Promise<void> {
    const { version } = text;
    await this.#tell("textDocument/didOpen", {
      textDocument: { uri: uri.toString(), languageId: "musicxml", version, text: text.text },
    });
  }

  async #tellChanged({ uri, text }: ContainerDocument): Promise<void> {
    const { version } = text;
    await this.#tell("textDocument/didChange", {
      textDocument: { uri: uri.toString(), version },
      contentChanges: [{ text: text.text }],
    });
    this.#panels.textChanged(uri);
  }

  async #tell(notification: string, params: object): Promise<void> {
    const client = await this.#server.running();
    await client.sendNotification(notification, params);
  }
}
