import { fileURLToPath } from "node:url";
import type { TextDocumentContentChangeEvent, TextDocumentItem } from "vscode-languageserver/node";
import { TextDocument } from "vscode-languageserver-textdocument";
import { acceptedFileName } from "../../shared/service/acceptedFile.ts";

/** True for the address of a file of accepted findings. */
export function isAcceptedFile(uri: string): boolean {
  return uri.startsWith("file:") && uri.endsWith(`/${acceptedFileName}`);
}

/** The files of accepted findings that the editor has open: they count as they stand there, saved or not. */
export class AcceptedDocuments {
  readonly #documents = new Map<string, TextDocument>();

  open({ uri, languageId, version, text }: TextDocumentItem): void {
    this.#documents.set(fileURLToPath(uri), TextDocument.create(uri, languageId, version, text));
  }

  /** The changes hold whole texts: no others were asked for. */
  change(uri: string, changes: readonly TextDocumentContentChangeEvent[], version: number): void {
    const document = this.#documents.get(fileURLToPath(uri));
    if (document) TextDocument.update(document, [...changes], version);
  }

  close(uri: string): void {
    this.#documents.delete(fileURLToPath(uri));
  }

  /** Undefined for a file that is not open. */
  textOf(path: string): string | undefined {
    return this.#documents.get(path)?.getText();
  }

  /** As the editor names the file and counts its changes; undefined for a file that is not open. */
  identifierOf(path: string): { readonly uri: string; readonly version: number } | undefined {
    return this.#documents.get(path);
  }
}
