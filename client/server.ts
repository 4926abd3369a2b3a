import * as vscode from "vscode";
import type { ApplyWorkspaceEditParams } from "vscode-languageclient";
import type { LanguageClient } from "vscode-languageclient/node";
import type { ScoreStatus } from "./status.ts";

/** Takes an edit of the server's for a text that lies in no document of the editor's; undefined leaves it to the editor. */
export type TakeEdit = (params: ApplyWorkspaceEditParams) => Promise<boolean> | undefined;

/** The language server: started when it is first wanted. */
export class Server implements vscode.Disposable {
  readonly #context: vscode.ExtensionContext;
  readonly #started = new vscode.EventEmitter<LanguageClient>();
  #output: vscode.LogOutputChannel | undefined;
  #client: Promise<LanguageClient> | undefined;
  /** Set once, before the server is wanted. */
  edits: TakeEdit = () => undefined;
  /** Set once, before the server is wanted. */
  status: ScoreStatus | undefined;

  constructor(context: vscode.ExtensionContext) {
    this.#context = context;
  }

  /** Each time that the server has started, also after it was restarted: it knows no text then. */
  get onDidStart(): vscode.Event<LanguageClient> {
    return this.#started.event;
  }

  /** Starts it, if it is not running; what goes wrong is shown. */
  wake(): void {
    this.running().catch((error: unknown) => {
      this.output.error(error instanceof Error ? error : String(error));
      this.status?.failed();
    });
  }

  /** The client of the running server. @throws Error when it cannot be started. */
  async running(): Promise<LanguageClient> {
    this.#client ??= this.#make();
    const client = await this.#client;
    await client.start();
    return client;
  }

  async restart(): Promise<void> {
    const client = await this.#client;
    if (client?.isRunning()) await client.restart();
    else await this.running();
  }

  async stop(): Promise<void> {
    await (await this.#client)?.dispose();
  }

  get output(): vscode.LogOutputChannel {
    this.#output ??= vscode.window.createOutputChannel("Placewright", { log: true });
    return this.#output;
  }

  dispose(): void {
    this.#output?.dispose();
    this.status?.dispose();
    this.#started.dispose();
  }

  async #make(): Promise<LanguageClient> {
    const { createClient } = await import("./client.ts");
    return createClient({
      module: this.#context.asAbsolutePath("dist/server.cjs"),
      output: this.output,
      whileReading: (uri, task) => this.status?.whileReading(uri, task) ?? task(),
      takeEdit: (params) => this.edits(params),
      onStarted: (client) => this.#started.fire(client),
    });
  }
}
