import { useEffect, useRef, useState } from "preact/hooks";
import type { Engraver } from "./engraver.ts";
import { moveWords, standingWords } from "./mechanismAt.ts";
import type { ShownScore } from "./panelState.ts";
import { decorate, markPath, systemPicture } from "./systemPicture.ts";

/** The width of the music on an A4 page with margins, in CSS pixels. */
const proofWidthPx = 690;
const proofZoom = 0.8;

export interface Proof {
  readonly print: () => void;
  readonly shown: ShownScore | undefined;
  /** The systems as SVG, while a proof is on its way to the printer. */
  readonly pictures: readonly { readonly svg: string; readonly label: string }[] | undefined;
  readonly done: () => void;
}

/** Lays the whole score out for paper when asked to. */
export function useProof(newEngraver: () => Engraver, shown: ShownScore | undefined): Proof {
  const [pictures, setPictures] = useState<Proof["pictures"]>();
  const print = async (): Promise<void> => {
    if (!shown) return;
    const { engraving, measures } = shown.score;
    // One of its own, so that the layout on the screen stays.
    const engraver = newEngraver();
    const layout = await engraver.engrave({ engraving, width: proofWidthPx, zoom: proofZoom });
    const all = layout.systems.map(async ({ first, last }, system) => ({
      svg: await engraver.draw(layout.generation, system),
      label: `Bars ${measures[first]?.number ?? ""} to ${measures[last]?.number ?? ""}`,
    }));
    setPictures(await Promise.all(all));
    engraver.close();
  };
  return { print: () => void print(), shown, pictures, done: () => setPictures(undefined) };
}

/** What goes to the printer: all systems, and what was found, with its bars. */
export function PrintedProof({ proof }: { readonly proof: Proof }) {
  const box = useRef<HTMLDivElement>(null);
  const { pictures, shown, done } = proof;
  useEffect(() => {
    const element = box.current;
    if (!pictures || !shown || !element) return;
    const drawn = pictures.map(({ svg, label }) => systemPicture(svg, label));
    element.replaceChildren(...drawn);
    for (const svg of drawn) decorate(svg, shown.index, true);
    window.print();
    done();
  }, [pictures]);
  if (!pictures || !shown) return null;
  const { title, findings, cautions, mechanism } = shown.score;
  return (
    <div class="proof">
      <h1>{title || "Score"}</h1>
      <p>
        Proof. Fingers that are underlined and brackets that are dashed are proposed, not printed in the file.
      </p>
      <div ref={box} class="proof-systems" />
      <h2>{findings.length === 0 ? "Nothing found" : "Found"}</h2>
      <ul>
        {findings.map(({ index, severity, message, bar, beat, hand }) => (
          <li key={index}>
            <svg viewBox="0 0 16 16" width="12" height="12" aria-hidden="true">
              <path class={`mark ${severity}`} d={markPath(severity, 8, 8, 6.4)} />
            </svg>{" "}
            {bar ? `Bar ${bar}, beat ${beat}, ${hand} hand: ` : ""}
            {message}
          </li>
        ))}
      </ul>
      {mechanism ? (
        <>
          <h2>{mechanism.kind === "pedal" ? "Pedals" : "Levers"}</h2>
          <p>Before the piece. {standingWords(mechanism, Number.MIN_SAFE_INTEGER)}</p>
          <ul>
            {mechanism.moves.map((move) => (
              <li key={`${move.name} ${move.note}`}>{moveWords(mechanism, move)}</li>
            ))}
          </ul>
        </>
      ) : null}
      {cautions.map((caution) => (
        <p key={caution}>{caution}</p>
      ))}
    </div>
  );
}
