import { ableEditor } from "./scriptedEditor.ts";

/**
 * What a well-known graphical editor says when it starts, as far as this server looks at it. Source: LSP 3.17,
 * initialize, ClientCapabilities; the values from memory.
 */
export const fullEditor = {
  ...ableEditor,
  workspace: {
    ...ableEditor.workspace,
    workspaceFolders: true,
    didChangeWatchedFiles: { dynamicRegistration: true, relativePatternSupport: true },
    symbol: { dynamicRegistration: true },
    executeCommand: { dynamicRegistration: true },
    codeLens: { refreshSupport: true },
    inlayHint: { refreshSupport: true },
    diagnostics: { refreshSupport: true },
  },
  textDocument: {
    ...ableEditor.textDocument,
    completion: { completionItem: { snippetSupport: true, insertTextModeSupport: { valueSet: [1, 2] } } },
    documentSymbol: { hierarchicalDocumentSymbolSupport: true },
    foldingRange: { rangeLimit: 5000, lineFoldingOnly: true },
    selectionRange: { dynamicRegistration: true },
    inlayHint: { dynamicRegistration: true, resolveSupport: { properties: ["tooltip"] } },
    codeLens: { dynamicRegistration: true },
    diagnostic: { dynamicRegistration: true, relatedDocumentSupport: false },
  },
  window: { workDoneProgress: true },
};

/** What an editor says that knows the least: nothing. */
export const bareEditor = {};
