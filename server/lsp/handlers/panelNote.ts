import type { PanelNoteDetails } from "../../../shared/protocol/panel.ts";
import { panelNote as noteDetails } from "../../../shared/service/panelNote.ts";
import { panelQuestion } from "../panelQuestion.ts";
import type { ServerState } from "../state.ts";

/** Everything about one note of a document. */
export function panelNote(state: ServerState, params: unknown): PanelNoteDetails {
  const { analysis, note } = panelQuestion(state, params);
  return noteDetails(analysis, note);
}
