import type { PanelNews, PanelQuestions } from "../../../shared/protocol/panel.ts";
import type { PageHost } from "./host.ts";

const memory = "placewright-panel";

/** The page's host in a browser: the loopback server that it was loaded from. */
export function browserHost(): PageHost {
  return {
    async ask(question, asks) {
      const answer = await fetch(`ask/${question}`, {
        method: "POST",
        headers: { "content-type": "application/json" },
        body: JSON.stringify(asks),
      }).catch(() => {
        throw new Error("The server that shows this page has stopped. Start placewright view again.");
      });
      if (!answer.ok) throw new Error(((await answer.json()) as { readonly error: string }).error);
      return (await answer.json()) as PanelQuestions[typeof question]["gets"];
    },
    listen(listener) {
      const source = new EventSource("news");
      let lost = false;
      source.addEventListener("message", (event: MessageEvent<string>) => {
        listener(JSON.parse(event.data) as PanelNews);
      });
      source.addEventListener("error", () => {
        lost = true;
      });
      source.addEventListener("open", () => {
        // Whatever changed while nobody listened is asked for anew.
        if (lost) listener({ kind: "scores" });
        lost = false;
      });
    },
    recall() {
      const kept = sessionStorage.getItem(memory);
      return kept === null ? undefined : (JSON.parse(kept) as unknown);
    },
    remember(value) {
      sessionStorage.setItem(memory, JSON.stringify(value));
    },
  };
}
