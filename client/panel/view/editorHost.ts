import type { PanelNews, PanelQuestions, ToPanelHost, ToPanelPage } from "../../../shared/protocol/panel.ts";
import type { PageHost } from "./host.ts";

/** What VS Code gives to a webview's page. */
interface EditorApi {
  postMessage(message: ToPanelHost): void;
  getState(): unknown;
  setState(state: unknown): void;
}

declare function acquireVsCodeApi(): EditorApi;

/** The page's host inside an editor: messages to and from the extension. */
export function editorHost(): PageHost {
  const api = acquireVsCodeApi();
  const waiting = new Map<number, { resolve: (gets: never) => void; reject: (error: Error) => void }>();
  const listeners: ((news: PanelNews) => void)[] = [];
  let lastId = 0;
  window.addEventListener("message", (event: MessageEvent<ToPanelPage>) => {
    const message = event.data;
    if (message.kind === "news") for (const listener of listeners) listener(message.news);
    if (message.kind !== "answer" && message.kind !== "refusal") return;
    const asked = waiting.get(message.id);
    waiting.delete(message.id);
    if (message.kind === "answer") asked?.resolve(message.gets as never);
    else asked?.reject(new Error(message.why));
  });
  return {
    ask(question, asks) {
      lastId += 1;
      const id = lastId;
      api.postMessage({ kind: "ask", id, question, asks });
      return new Promise<PanelQuestions[typeof question]["gets"]>((resolve, reject) => {
        waiting.set(id, { resolve, reject });
      });
    },
    listen(listener) {
      if (listeners.push(listener) === 1) api.postMessage({ kind: "ready" });
    },
    recall: () => api.getState(),
    remember: (value) => api.setState(value),
  };
}
