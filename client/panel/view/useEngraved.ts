import { useEffect, useRef, useState } from "preact/hooks";
import type { Engraved, Engraver } from "./engraver.ts";
import type { ShownScore } from "./panelState.ts";

/** A layout and the reading that it was made from. */
export interface Layout {
  readonly engraved: Engraved;
  readonly shown: ShownScore;
}

/** The latest layout of a score; the one before stays until it is there. */
export function useEngraved(
  engraver: Engraver,
  shown: ShownScore | undefined,
  width: number,
  zoom: number,
): { readonly layout: Layout | undefined; readonly failure: string | undefined } {
  const [layout, setLayout] = useState<Layout | undefined>();
  const [failure, setFailure] = useState<string | undefined>();
  const wanted = useRef<ShownScore | undefined>(undefined);
  wanted.current = shown;
  useEffect(() => {
    if (!shown || width < 1) return;
    engraver.engrave({ engraving: shown.score.engraving, width, zoom }).then(
      (engraved) => {
        if (wanted.current === undefined) return;
        const { engravingMs: duration } = engraved;
        performance.measure("engraving", { start: performance.now() - duration, duration });
        setFailure(undefined);
        setLayout({ engraved, shown });
      },
      (error: Error) => setFailure(error.message),
    );
  }, [engraver, shown, width, zoom]);
  return { layout: shown ? layout : undefined, failure };
}
