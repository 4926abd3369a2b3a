import { pathToFileURL } from "node:url";
import {
  type Diagnostic,
  DiagnosticSeverity,
  type PublishDiagnosticsParams,
} from "vscode-languageserver/node";
import { TextDocument } from "vscode-languageserver-textdocument";
import type { ReadSettingsFile } from "../files/settingsFiles.ts";
import { Converter } from "./convert.ts";
import { diagnosticSource } from "./diagnostics.ts";
import type { PositionEncoding } from "./features.ts";

/** Stands where a finding has its rule's id: a setting is wrong. */
export const settingCode = "setting";

/** Sends what is wrong in the settings of the open scores, at its place in the settings files. */
export class SettingsFeed {
  readonly #publish: (params: PublishDiagnosticsParams) => void;
  readonly #encoding: () => PositionEncoding;
  /** The files that count for each open score. */
  readonly #files = new Map<string, readonly ReadSettingsFile[]>();
  /** By settings file: what the editor shows of it. */
  readonly #shown = new Map<string, string>();

  constructor(publish: (params: PublishDiagnosticsParams) => void, encoding: () => PositionEncoding) {
    this.#publish = publish;
    this.#encoding = encoding;
  }

  /** A score was read with these settings files; none when it was closed. */
  show(scoreUri: string, files: readonly ReadSettingsFile[]): void {
    if (files.length === 0) this.#files.delete(scoreUri);
    else this.#files.set(scoreUri, files);
    const wanted = new Map<string, readonly Diagnostic[]>();
    for (const file of [...this.#files.values()].flat()) {
      const uri = pathToFileURL(file.path).href;
      if (file.problems.length > 0) wanted.set(uri, joined(wanted.get(uri), this.#diagnosticsOf(uri, file)));
    }
    for (const uri of [...this.#shown.keys()]) if (!wanted.has(uri)) this.#send(uri, []);
    for (const [uri, diagnostics] of wanted) this.#send(uri, diagnostics);
  }

  #send(uri: string, diagnostics: readonly Diagnostic[]): void {
    const shown = JSON.stringify(diagnostics);
    if ((this.#shown.get(uri) ?? "[]") === shown) return;
    if (diagnostics.length === 0) this.#shown.delete(uri);
    else this.#shown.set(uri, shown);
    this.#publish({ uri, diagnostics: [...diagnostics] });
  }

  #diagnosticsOf(uri: string, { text, problems }: ReadSettingsFile): Diagnostic[] {
    const convert = new Converter(TextDocument.create(uri, "json", 0, text), this.#encoding());
    return problems.map(({ severity, message, span }) => ({
      range: convert.range(span),
      severity: severity === "error" ? DiagnosticSeverity.Error : DiagnosticSeverity.Warning,
      source: diagnosticSource,
      code: settingCode,
      message,
    }));
  }
}

/** One file may count for several scores, of which each has something to say about its own entries. */
function joined(before: readonly Diagnostic[] = [], more: readonly Diagnostic[]): Diagnostic[] {
  const all = new Map([...before, ...more].map((diagnostic) => [JSON.stringify(diagnostic), diagnostic]));
  return [...all.values()].sort((a, b) => a.range.start.line - b.range.start.line);
}
