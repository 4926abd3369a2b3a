import type { PanelWay } from "../../../shared/protocol/panel.ts";
import { panelWays as otherWays } from "../../../shared/service/panelWays.ts";
import { panelQuestion } from "../panelQuestion.ts";
import type { ServerState } from "../state.ts";

/** Other ways to finger the placing of a note. */
export function panelWays(state: ServerState, params: unknown): readonly PanelWay[] {
  const { analysis, note } = panelQuestion(state, params);
  return otherWays(analysis, note);
}
