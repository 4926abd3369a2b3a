import { render } from "preact";
import type { PanelPageSettings } from "../../../shared/protocol/panel.ts";
import { App } from "./App.tsx";
import { browserHost } from "./browserHost.ts";
import { editorHost } from "./editorHost.ts";
import { Engraver } from "./engraver.ts";
import { Panel } from "./panel.ts";

const settings = JSON.parse(document.querySelector("#settings")!.textContent ?? "") as PanelPageSettings;
const panel = new Panel(settings.host === "editor" ? editorHost() : browserHost());

// A fault of the page itself is said too: nobody looks into a console.
const say = (what: unknown): void => {
  const text = what instanceof Error ? what.message : String(what);
  panel.store.change({
    notice: { kind: "refused", text: `A fault of the panel, please report it: ${text}` },
  });
};
window.addEventListener("error", (event) => say(event.error ?? event.message));
window.addEventListener("unhandledrejection", (event) => say(event.reason));

render(
  <App panel={panel} newEngraver={() => new Engraver(settings.engraver)} host={settings.host} />,
  document.querySelector("#app")!,
);
void panel.start();
