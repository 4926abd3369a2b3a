import * as vscode from "vscode";
import { activeContainer } from "./container/viewType.ts";
import { isScore } from "./scores.ts";

/** The item of the status bar: how much was found in the score that is being worked on, and when it is being read. */
export class ScoreStatus implements vscode.Disposable {
  readonly #item = vscode.window.createStatusBarItem(
    "placewright.findings",
    vscode.StatusBarAlignment.Left,
    1,
  );
  readonly #listeners: vscode.Disposable[];
  /** How many questions about each text are under way. */
  readonly #reading = new Map<string, number>();
  #hasFailed = false;
  #score: vscode.Uri | undefined;

  /** @param panels where a panel is in front, its score is the one. */
  constructor(panels: {
    readonly active: vscode.Uri | undefined;
    readonly onDidChangeActive: vscode.Event<void>;
  }) {
    this.#item.name = "Placewright";
    const follow = (): void => {
      this.#score = scoreInFront(panels.active);
      this.#show();
    };
    this.#listeners = [
      panels.onDidChangeActive(follow),
      vscode.window.onDidChangeActiveTextEditor(follow),
      vscode.window.tabGroups.onDidChangeTabs(follow),
      vscode.window.tabGroups.onDidChangeTabGroups(follow),
      vscode.languages.onDidChangeDiagnostics(({ uris }) => {
        if (uris.some((uri) => uri.toString() === this.#score?.toString())) this.#show();
      }),
      vscode.workspace.onDidChangeConfiguration((event) => {
        if (event.affectsConfiguration("placewright.statusBar")) this.#show();
      }),
    ];
    follow();
  }

  /** Shows that a text is being read until the task is done. */
  async whileReading<T>(uri: vscode.Uri, task: () => Promise<T>): Promise<T> {
    const key = uri.toString();
    const count = (by: 1 | -1): void => {
      const now = (this.#reading.get(key) ?? 0) + by;
      if (now > 0) this.#reading.set(key, now);
      else this.#reading.delete(key);
      this.#hasFailed = false;
      this.#show();
    };
    count(1);
    try {
      return await task();
    } finally {
      count(-1);
    }
  }

  /** Shows that the server could not be started. */
  failed(): void {
    this.#hasFailed = true;
    this.#show();
  }

  dispose(): void {
    this.#item.dispose();
    for (const listener of this.#listeners) listener.dispose();
  }

  #show(): void {
    const wanted = vscode.workspace.getConfiguration("placewright").get("statusBar.show", true);
    if (!this.#score || !wanted) {
      this.#item.hide();
      return;
    }
    const { text, words, command } = this.#saying(this.#score);
    this.#item.text = text;
    this.#item.tooltip = words;
    this.#item.accessibilityInformation = { label: `Placewright: ${words}` };
    this.#item.command = command;
    this.#item.show();
  }

  #saying(score: vscode.Uri): { text: string; words: string; command: string } {
    if (this.#hasFailed) {
      const words = "The language server did not start. Choose this to see why.";
      return { text: "$(error) Placewright did not start", words, command: "placewright.showOutput" };
    }
    const command = "workbench.actions.view.problems";
    if (this.#reading.has(score.toString()))
      return { text: "$(loading~spin) Reading the score", words: "The score is being read.", command };
    const count = countOf(score);
    const all = count.error + count.warning + count.hint;
    if (all === 0)
      return { text: "$(check) Nothing to look at", words: "Nothing was found in this score.", command };
    const words = (["error", "warning", "hint"] as const)
      .filter((kind) => count[kind] > 0)
      .map((kind) => `${count[kind]} ${kind}${count[kind] === 1 ? "" : "s"}`)
      .join(", ");
    return { text: `$(checklist) ${all} to look at`, words: `${words}. Choose this to list them.`, command };
  }
}

/** The score that is worked on: in a panel, or in a text. */
function scoreInFront(inPanel: vscode.Uri | undefined): vscode.Uri | undefined {
  const document = vscode.window.activeTextEditor?.document;
  return activeContainer() ?? inPanel ?? (document && isScore(document) ? document.uri : undefined);
}

function countOf(score: vscode.Uri): { error: number; warning: number; hint: number } {
  const count = { error: 0, warning: 0, hint: 0 };
  for (const { source, severity } of vscode.languages.getDiagnostics(score)) {
    if (source !== "placewright") continue;
    if (severity === vscode.DiagnosticSeverity.Error) count.error += 1;
    else if (severity === vscode.DiagnosticSeverity.Warning) count.warning += 1;
    else count.hint += 1;
  }
  return count;
}
