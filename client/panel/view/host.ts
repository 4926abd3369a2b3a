import type { PanelNews, PanelQuestion, PanelQuestions } from "../../../shared/protocol/panel.ts";

/** Whoever shows the page: answers its questions and brings it news. */
export interface PageHost {
  /** @throws Error with a sentence for people when the question is refused or nobody answers. */
  ask<Q extends PanelQuestion>(
    question: Q,
    asks: PanelQuestions[Q]["asks"],
  ): Promise<PanelQuestions[Q]["gets"]>;
  /** Calls back with each piece of news from now on. */
  listen(listener: (news: PanelNews) => void): void;
  /** What the page kept with `remember` before it was last closed or reloaded. */
  recall(): unknown;
  /** Keeps a small value over reloads. */
  remember(value: unknown): void;
}
