import { useCallback, useEffect, useLayoutEffect, useRef, useState } from "preact/hooks";
import { describeNote } from "./describe.ts";
import type { Engraver } from "./engraver.ts";
import { highlight } from "./highlight.ts";
import { nearestNote } from "./nearestNote.ts";
import type { Panel } from "./panel.ts";
import { scoreKeys } from "./scoreKeys.ts";
import { useStore } from "./store.ts";
import { decorate, systemPicture } from "./systemPicture.ts";
import type { Layout } from "./useEngraved.ts";

interface SystemsProps {
  readonly panel: Panel;
  readonly engraver: Engraver;
  readonly layout: Layout;
  /** Only this system; all of them without it. */
  readonly only?: number;
}

/** How far beyond what is seen systems are drawn, so that scrolling finds them there. */
const drawnAhead = "500px";

/** The engraved systems, one under the other; those that are near what is seen are drawn. */
export function ScoreSystems({ panel, engraver, layout, only }: SystemsProps) {
  const scroller = useRef<HTMLDivElement>(null);
  const selected = useStore(panel.store, (state) => state.selected);
  const playing = useStore(panel.store, (state) => state.playing);
  const near = useNearSystems(scroller, layout, only);
  const [drawn, setDrawn] = useState(0);
  const { systems } = layout.engraved;
  const { index } = layout.shown;
  const systemOf = (measure: number): number =>
    systems.findIndex(({ first, last }) => first <= measure && measure <= last);

  useKeptScroll(scroller, panel, layout, only, drawn);

  const sounding = useSounding(panel);
  useLayoutEffect(() => {
    if (scroller.current) highlight(scroller.current, { selected, sounding: playing ? sounding : "", index });
  }, [selected, sounding, playing, drawn, index]);

  const soundingMeasure = playing ? index.note(sounding.split(" ")[0])?.measure : undefined;
  const followed = soundingMeasure ?? index.note(selected)?.measure;
  // At the beginning the kept place counts, not the note.
  const follows = useRef(panel.scroll === undefined);
  useEffect(() => {
    if (followed === undefined) return;
    const wanted = follows.current;
    follows.current = true;
    if (only !== undefined || !wanted) return;
    const system = scroller.current?.children[systemOf(followed)];
    if (system) bringIntoView(scroller.current!, system as HTMLElement);
  }, [followed, selected]);

  const onDrawn = useCallback(() => setDrawn((count) => count + 1), []);
  const note = index.note(selected);
  return (
    <div
      ref={scroller}
      class={only === undefined ? "systems" : "systems one"}
      role="application"
      aria-roledescription="score"
      aria-label={note ? `Score. ${describeNote(note, index)}` : "Score. Arrow keys go from note to note."}
      aria-describedby="score-keys"
      // biome-ignore lint/a11y/noNoninteractiveTabindex: the role application takes keys, and so the focus.
      tabIndex={0}
      onKeyDown={(event) => scoreKeys(panel, event)}
      onClick={(event) => {
        const id = nearestNote(event);
        if (id !== undefined) panel.select(id, { extend: event.shiftKey });
      }}
      onDblClick={() => panel.openText()}
    >
      {systems.map((bars, system) => (
        <System
          key={system}
          engraver={engraver}
          layout={layout}
          system={system}
          near={only === undefined ? near.has(system) : system === only}
          hidden={only !== undefined && system !== only}
          label={systemLabel(layout, bars)}
          panel={panel}
          onDrawn={onDrawn}
        />
      ))}
    </div>
  );
}

function systemLabel({ shown }: Layout, { first, last }: { first: number; last: number }): string {
  const { measures } = shown.score;
  const from = measures[first]?.number ?? "";
  const to = measures[last]?.number ?? "";
  return from === to ? `Bar ${from}` : `Bars ${from} to ${to}`;
}

/** The ids of the notes that sound at the present time, joined by blanks so that equal ones compare as equal. */
function useSounding(panel: Panel): string {
  return useStore(panel.store, ({ shown, timeMicros }) => {
    if (!shown) return "";
    return shown.score.hands
      .flatMap((hand) => hand.events[shown.index.lastEventAt(hand, timeMicros)]?.notes ?? [])
      .map(({ note }) => note)
      .join(" ");
  });
}

/** The numbers of the systems that are in view or near it. */
function useNearSystems(
  scroller: { current: HTMLDivElement | null },
  { engraved }: Layout,
  only: number | undefined,
): ReadonlySet<number> {
  const [near, setNear] = useState<ReadonlySet<number>>(new Set());
  const count = engraved.systems.length;
  useEffect(() => {
    const root = scroller.current;
    if (!root || only !== undefined) return;
    const observer = new IntersectionObserver(
      (entries) => {
        setNear((before) => {
          const now = new Set(before);
          for (const { target, isIntersecting } of entries) {
            const system = [...root.children].indexOf(target);
            if (isIntersecting) now.add(system);
            else now.delete(system);
          }
          return now;
        });
      },
      { root, rootMargin: drawnAhead },
    );
    for (const child of root.children) observer.observe(child);
    return () => observer.disconnect();
  }, [scroller, count, only]);
  return near;
}

/**
 * Keeps the bar at the top of the view there when systems break elsewhere, and finds it again after a reload: as soon
 * as enough is drawn for it to get there.
 */
function useKeptScroll(
  scroller: { current: HTMLDivElement | null },
  panel: Panel,
  { engraved }: Layout,
  only: number | undefined,
  drawn: number,
): void {
  const { systems } = engraved;
  const breaks = systems.map(({ first }) => first).join(" ");
  const wanted = useRef<Panel["scroll"]>(undefined);
  useLayoutEffect(() => {
    if (only === undefined) wanted.current = panel.scroll;
  }, [breaks, only]);
  useLayoutEffect(() => {
    const root = scroller.current;
    const kept = wanted.current;
    if (!root || !kept) return;
    const system = systems.findIndex(({ first, last }) => first <= kept.measure && kept.measure <= last);
    const child = root.children[system] as HTMLElement | undefined;
    if (!child) return;
    const top = child.offsetTop + kept.offset;
    root.scrollTop = top;
    if (Math.abs(root.scrollTop - top) <= 1) wanted.current = undefined;
  }, [breaks, only, drawn]);
  useEffect(() => {
    const root = scroller.current;
    if (!root || only !== undefined) return;
    let timer: ReturnType<typeof setTimeout> | undefined;
    const keep = (): void => {
      if (wanted.current) return;
      const children = [...root.children] as HTMLElement[];
      const system = children.findIndex((child) => child.offsetTop + child.offsetHeight > root.scrollTop);
      const child = children[system];
      const offset = child ? Math.round(root.scrollTop - child.offsetTop) : 0;
      panel.remember({ measure: systems[system]?.first ?? 0, offset });
    };
    const onScroll = (): void => {
      clearTimeout(timer);
      timer = setTimeout(keep, 120);
    };
    // Whoever scrolls does not want to be taken elsewhere.
    const letGo = (): void => {
      wanted.current = undefined;
    };
    root.addEventListener("scroll", onScroll, { passive: true });
    root.addEventListener("wheel", letGo, { passive: true });
    root.addEventListener("pointerdown", letGo, { passive: true });
    return () => {
      clearTimeout(timer);
      root.removeEventListener("scroll", onScroll);
      root.removeEventListener("wheel", letGo);
      root.removeEventListener("pointerdown", letGo);
    };
  }, [breaks, panel, only]);
}

function bringIntoView(root: HTMLElement, system: HTMLElement): void {
  const top = system.offsetTop;
  const bottom = top + system.offsetHeight;
  const calm = matchMedia("(prefers-reduced-motion: reduce)").matches;
  const behavior = calm ? "instant" : "smooth";
  if (top < root.scrollTop) root.scrollTo({ top: Math.max(0, top - 8), behavior });
  else if (bottom > root.scrollTop + root.clientHeight)
    root.scrollTo({ top: Math.min(top - 8, bottom - root.clientHeight + 8), behavior });
}

interface SystemProps {
  readonly panel: Panel;
  readonly engraver: Engraver;
  readonly layout: Layout;
  readonly system: number;
  readonly near: boolean;
  readonly hidden: boolean;
  readonly label: string;
  readonly onDrawn: () => void;
}

/** One system. What is drawn of an older layout stays until the new picture is there. */
function System({ panel, engraver, layout, system, near, hidden, label, onDrawn }: SystemProps) {
  const box = useRef<HTMLDivElement>(null);
  const showsProposal = useStore(panel.store, (state) => state.showsProposal);
  const [failure, setFailure] = useState<string | undefined>();
  const { engraved, shown } = layout;
  useEffect(() => {
    const element = box.current;
    if (!element) return;
    if (!near) {
      // Its height stays, so that nothing moves; the picture itself is let go.
      if (element.firstElementChild instanceof SVGElement) {
        element.style.setProperty("min-height", `${element.offsetHeight}px`);
        element.replaceChildren();
      }
      return;
    }
    let wanted = true;
    engraver.draw(engraved.generation, system).then(
      (text) => {
        if (!wanted) return;
        const svg = systemPicture(text, label);
        element.replaceChildren(svg);
        decorate(svg, shown.index, showsProposal);
        element.style.removeProperty("min-height");
        setFailure(undefined);
        onDrawn();
      },
      (error: Error) => {
        if (wanted) setFailure(error.message);
      },
    );
    return () => {
      wanted = false;
    };
  }, [near, engraved.generation, label]);
  useEffect(() => {
    const svg = box.current?.querySelector<SVGSVGElement>("svg.system-picture");
    if (!svg) return;
    decorate(svg, shown.index, showsProposal);
    onDrawn();
  }, [showsProposal]);
  return (
    <div class="system" hidden={hidden} data-first-measure={engraved.systems[system]?.first}>
      <div ref={box} class="system-box" />
      {failure !== undefined && near ? <p class="refused">{failure}</p> : null}
    </div>
  );
}
