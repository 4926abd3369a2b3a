import {
  type CompletionItem,
  CompletionItemKind,
  type CompletionList,
  type CompletionParams,
  InsertTextMode,
} from "vscode-languageserver/node";
import { type Completion, completions } from "../../../shared/service/completions.ts";
import type { OpenDocument, ServerState } from "../state.ts";

/** What can be typed at a place, best first. */
export function completion(state: ServerState, params: CompletionParams): CompletionList | null {
  const document = state.document(params.textDocument.uri);
  const analysis = document?.analysis;
  if (!document || !analysis) return null;
  const found = completions(analysis, document.convert.offset(params.position));
  return { isIncomplete: false, items: found.map((item, order) => itemOf(document, item, order)) };
}

function itemOf(document: OpenDocument, item: Completion, order: number): CompletionItem {
  const range = document.convert.range(item.span);
  return {
    label: item.label,
    kind: item.kind === "finger" ? CompletionItemKind.Value : CompletionItemKind.Snippet,
    ...(item.detail === "" ? {} : { detail: item.detail }),
    sortText: String(order),
    preselect: order === 0,
    // What stands there already must not decide what is offered.
    filterText: document.text.slice(item.span.start, item.span.end) || item.text,
    // The lines are laid out already as those around them.
    insertTextMode: InsertTextMode.asIs,
    textEdit: { range, newText: item.text },
  };
}
