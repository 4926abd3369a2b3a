import { type ClientCapabilities, MarkupKind, PositionEncodingKind } from "vscode-languageserver/node";
import type { TextFormat } from "../../shared/service/hoverText.ts";

export type PositionEncoding = "utf-8" | "utf-16" | "utf-32";

/** What the editor can do; whatever it did not say it cannot. */
export interface ClientFeatures {
  /** How both sides count characters in a line. */
  readonly positionEncoding: PositionEncoding;
  /** Understands edits that name the version of the document they were made for. */
  readonly versionedEdits: boolean;
  /** Applies edits that the server sends. */
  readonly appliesEdits: boolean;
  /** Takes code actions with edits, not commands only. */
  readonly codeActionLiterals: boolean;
  /** Asks for the edit of a code action once it is chosen. */
  readonly resolvesCodeActions: boolean;
  readonly relatedInformation: boolean;
  readonly hoverFormat: TextFormat;
  /**
   * Makes and edits files beside those that it has open, and tells what becomes of them before they are saved. Without
   * that an edit could be made for an old text.
   */
  readonly editsOtherFiles: boolean;
  /** Tells of files that are saved, when the server asks for it. */
  readonly watchesFiles: boolean;
  /** Tells of folders that are added and taken away. */
  readonly changesFolders: boolean;
  /** Shows symbols as a tree. */
  readonly symbolTree: boolean;
  /** The most folds that it takes. */
  readonly foldingLimit: number | undefined;
  /** Asks for findings instead of waiting for them. */
  readonly pullsDiagnostics: boolean;
  /** Asks again when it is told that something else than the text has changed. */
  readonly refreshes: {
    readonly diagnostics: boolean;
    readonly inlayHints: boolean;
    readonly codeLenses: boolean;
  };
  /** Shows how far long work is. */
  readonly showsProgress: boolean;
}

export function clientFeatures(capabilities: ClientCapabilities): ClientFeatures {
  const { general, workspace, textDocument, window } = capabilities;
  const codeAction = textDocument?.codeAction;
  return {
    positionEncoding: positionEncoding(general?.positionEncodings),
    versionedEdits: workspace?.workspaceEdit?.documentChanges === true,
    appliesEdits: workspace?.applyEdit === true,
    codeActionLiterals: codeAction?.codeActionLiteralSupport !== undefined,
    resolvesCodeActions:
      codeAction?.dataSupport === true && codeAction.resolveSupport?.properties.includes("edit") === true,
    relatedInformation: textDocument?.publishDiagnostics?.relatedInformation === true,
    hoverFormat: hoverFormat(textDocument?.hover?.contentFormat),
    editsOtherFiles:
      workspace?.workspaceEdit?.documentChanges === true &&
      workspace.workspaceEdit.resourceOperations?.includes("create") === true &&
      textDocument?.synchronization?.dynamicRegistration === true,
    watchesFiles: workspace?.didChangeWatchedFiles?.dynamicRegistration === true,
    changesFolders: workspace?.workspaceFolders === true,
    symbolTree: textDocument?.documentSymbol?.hierarchicalDocumentSymbolSupport === true,
    foldingLimit: textDocument?.foldingRange?.rangeLimit,
    pullsDiagnostics: textDocument?.diagnostic !== undefined,
    refreshes: {
      diagnostics: workspace?.diagnostics?.refreshSupport === true,
      inlayHints: workspace?.inlayHint?.refreshSupport === true,
      codeLenses: workspace?.codeLens?.refreshSupport === true,
    },
    showsProgress: window?.workDoneProgress === true,
  };
}

/** UTF-16 is what every client must know, so it is taken unless the client leaves it out of its list. */
function positionEncoding(offered: readonly PositionEncodingKind[] | undefined): PositionEncoding {
  if (!offered || offered.includes(PositionEncodingKind.UTF16)) return "utf-16";
  for (const encoding of offered) {
    if (encoding === PositionEncodingKind.UTF8) return "utf-8";
    if (encoding === PositionEncodingKind.UTF32) return "utf-32";
  }
  return "utf-16";
}

/** The client lists its formats by preference. */
function hoverFormat(formats: readonly MarkupKind[] | undefined): TextFormat {
  const known = formats?.find((format) => format === MarkupKind.Markdown || format === MarkupKind.PlainText);
  return known === MarkupKind.Markdown ? "markdown" : "plaintext";
}
