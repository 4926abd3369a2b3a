import { useEffect, useRef, useState } from "preact/hooks";
import type { PanelPageSettings } from "../../../shared/protocol/panel.ts";
import type { Engraver } from "./engraver.ts";
import { FindingsPane } from "./FindingsPane.tsx";
import { FingerForm } from "./FingerForm.tsx";
import { HandsView } from "./HandsView.tsx";
import { Harp } from "./Harp.tsx";
import { NotePane } from "./NotePane.tsx";
import { PrintedProof, useProof } from "./PrintedProof.tsx";
import type { Panel } from "./panel.ts";
import { type ThemeName, type ViewName, zooms } from "./panelState.ts";
import { RepeatsView } from "./RepeatsView.tsx";
import { ScoreSystems } from "./ScoreSystems.tsx";
import { scoreKeysHelp } from "./scoreKeys.ts";
import { useStore } from "./store.ts";
import { Transport } from "./Transport.tsx";
import { TroubleBanner } from "./TroubleBanner.tsx";
import { useElementWidth } from "./useElementWidth.ts";
import { type Layout, useEngraved } from "./useEngraved.ts";

const views: readonly { name: ViewName; label: string }[] = [
  { name: "score", label: "Score" },
  { name: "hands", label: "Hands" },
  { name: "repeats", label: "Repeats" },
];

/** From this width on there is room for the harp beside the score. */
const harpBesidePx = 1000;

export function App({
  panel,
  newEngraver,
  host,
}: {
  readonly panel: Panel;
  readonly newEngraver: () => Engraver;
  readonly host: PanelPageSettings["host"];
}) {
  const [engraver] = useState(newEngraver);
  const [stage, width] = useElementWidth();
  const [page, pageWidth] = useElementWidth();
  const view = useStore(panel.store, (state) => state.view);
  const zoom = useStore(panel.store, (state) => state.zoom);
  const theme = useStore(panel.store, (state) => state.theme);
  const shown = useStore(panel.store, (state) => state.shown);
  const { layout, failure } = useEngraved(engraver, shown, width, zoom);
  const proof = useProof(newEngraver, shown);
  useEffect(() => {
    if (host === "browser") document.documentElement.dataset.theme = theme;
  }, [host, theme]);
  useEffect(() => {
    document.title = shown ? `${shown.score.title || "Score"} – Placewright` : "Placewright";
  }, [shown]);
  return (
    <>
      <div ref={page} class="page">
        <Header panel={panel} host={host} onPrint={host === "browser" ? proof.print : undefined} />
        <main class="middle">
          <TroubleBanner panel={panel} />
          <NoticeLine panel={panel} />
          <div class="main">
            <div
              ref={stage}
              class={`stage ${view}`}
              id="stage"
              role="tabpanel"
              aria-labelledby={`tab-${view}`}
            >
              <Stage panel={panel} engraver={engraver} layout={layout} failure={failure} view={view} />
            </div>
            <aside class="side" aria-label="About the score">
              {view === "score" && pageWidth >= harpBesidePx ? <Harp panel={panel} size="small" /> : null}
              <NotePane panel={panel} />
              <FingerForm panel={panel} />
              <FindingsPane panel={panel} />
            </aside>
          </div>
        </main>
        <footer>
          <Transport panel={panel} />
          <p id="score-keys" class="only-read">
            {scoreKeysHelp}
          </p>
          <SelectionSpoken panel={panel} />
        </footer>
      </div>
      <PrintedProof proof={proof} />
    </>
  );
}

function Stage({
  panel,
  engraver,
  layout,
  failure,
  view,
}: {
  readonly panel: Panel;
  readonly engraver: Engraver;
  readonly layout: Layout | undefined;
  readonly failure: string | undefined;
  readonly view: ViewName;
}) {
  const waiting = useStore(panel.store, (state) => state.waiting);
  const shown = useStore(panel.store, (state) => state.shown);
  const scores = useStore(panel.store, (state) => state.scores);
  const trouble = useStore(panel.store, (state) => state.trouble);
  if (failure !== undefined && !layout) return <p class="refused">{failure}</p>;
  if (!shown) {
    if (waiting) return <p class="aside">Reading the score…</p>;
    if (trouble) return null;
    return <p>{scores.length === 0 ? "There is no score here." : "Choose a score."}</p>;
  }
  return (
    <>
      {failure === undefined ? null : <p class="refused">{failure}</p>}
      {view === "repeats" ? <RepeatsView panel={panel} /> : null}
      {view === "hands" ? <HandsView panel={panel} engraver={engraver} layout={layout} /> : null}
      {view === "score" && layout ? <ScoreSystems panel={panel} engraver={engraver} layout={layout} /> : null}
      {view === "score" && !layout ? <p class="aside">Engraving…</p> : null}
    </>
  );
}

function Header({
  panel,
  host,
  onPrint,
}: {
  readonly panel: Panel;
  readonly host: PanelPageSettings["host"];
  readonly onPrint: (() => void) | undefined;
}) {
  const scores = useStore(panel.store, (state) => state.scores);
  const uri = useStore(panel.store, (state) => state.uri);
  const shown = useStore(panel.store, (state) => state.shown);
  const zoom = useStore(panel.store, (state) => state.zoom);
  const theme = useStore(panel.store, (state) => state.theme);
  const showsProposal = useStore(panel.store, (state) => state.showsProposal);
  return (
    <header class="header">
      <h1>{shown?.score.title || scores.find((score) => score.uri === uri)?.name || "Placewright"}</h1>
      {scores.length > 1 ? (
        <label class="scores">
          <span class="only-read">Score</span>
          <select value={uri} onChange={(event) => panel.open(event.currentTarget.value)}>
            {scores.map((score) => (
              <option key={score.uri} value={score.uri}>
                {score.name}
              </option>
            ))}
          </select>
        </label>
      ) : null}
      <Tabs panel={panel} />
      <div class="tools">
        <label class="check">
          <input
            type="checkbox"
            checked={showsProposal}
            onChange={(event) => panel.store.change({ showsProposal: event.currentTarget.checked })}
          />
          Proposal
        </label>
        <button
          type="button"
          aria-label="Smaller notes"
          title="Smaller notes"
          disabled={zoom === zooms[0]}
          onClick={() => panel.zoom(-1)}
        >
          −
        </button>
        <button
          type="button"
          aria-label="Larger notes"
          title="Larger notes"
          disabled={zoom === zooms.at(-1)}
          onClick={() => panel.zoom(1)}
        >
          +
        </button>
        {onPrint ? (
          <button type="button" disabled={!shown} onClick={onPrint}>
            Print a proof
          </button>
        ) : null}
        {host === "browser" ? (
          <label>
            <span class="only-read">Colours</span>
            <select
              value={theme}
              title="Colours"
              onChange={(event) => panel.store.change({ theme: event.currentTarget.value as ThemeName })}
            >
              <option value="auto">as the system</option>
              <option value="light">light</option>
              <option value="dark">dark</option>
              <option value="contrast-light">light, strong</option>
              <option value="contrast-dark">dark, strong</option>
            </select>
          </label>
        ) : null}
      </div>
    </header>
  );
}

function Tabs({ panel }: { readonly panel: Panel }) {
  const view = useStore(panel.store, (state) => state.view);
  const list = useRef<HTMLDivElement>(null);
  const go = (by: number): void => {
    const at = views.findIndex(({ name }) => name === view);
    const next = views[(at + by + views.length) % views.length]!;
    panel.store.change({ view: next.name });
    list.current?.querySelector<HTMLElement>(`#tab-${next.name}`)?.focus();
  };
  return (
    <div
      ref={list}
      class="tabs"
      role="tablist"
      aria-label="Views"
      onKeyDown={(event) => {
        if (event.key === "ArrowRight") go(1);
        else if (event.key === "ArrowLeft") go(-1);
        else return;
        event.preventDefault();
      }}
    >
      {views.map(({ name, label }) => (
        <button
          key={name}
          id={`tab-${name}`}
          type="button"
          role="tab"
          aria-selected={view === name}
          aria-controls="stage"
          tabIndex={view === name ? 0 : -1}
          onClick={() => panel.store.change({ view: name })}
        >
          {label}
        </button>
      ))}
    </div>
  );
}

function NoticeLine({ panel }: { readonly panel: Panel }) {
  const notice = useStore(panel.store, (state) => state.notice);
  return (
    <div class="notices" role="status">
      {notice ? (
        <p class={`notice ${notice.kind}`}>
          {notice.text}{" "}
          <button type="button" onClick={() => panel.dismissNotice()}>
            Close
          </button>
        </p>
      ) : null}
    </div>
  );
}

/** Reads out the note that was just selected, wherever the focus is. */
function SelectionSpoken({ panel }: { readonly panel: Panel }) {
  const words = useStore(panel.store, ({ shown, selected, playing }) => {
    const note = playing ? undefined : shown?.index.note(selected);
    return note ? `${note.pitch}, ${note.finger ?? "no finger"}, bar ${note.bar}, beat ${note.beat}` : "";
  });
  return (
    <p class="only-read" aria-live="polite">
      {words}
    </p>
  );
}
