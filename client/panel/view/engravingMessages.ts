import type { PanelEngraving } from "../../../shared/protocol/panel.ts";

/** From the page to the worker that engraves. */
export type ToEngraver =
  | {
      readonly kind: "engrave";
      readonly generation: number;
      readonly engraving: PanelEngraving;
      readonly width: number;
      readonly zoom: number;
    }
  | { readonly kind: "draw"; readonly generation: number; readonly system: number };

/** From the worker to the page. */
export type FromEngraver =
  | {
      readonly kind: "engraved";
      readonly generation: number;
      readonly systems: readonly { readonly first: number; readonly last: number }[];
      readonly engravingMs: number;
    }
  | { readonly kind: "engravingFailed"; readonly generation: number; readonly why: string }
  | {
      readonly kind: "drawn";
      readonly generation: number;
      readonly system: number;
      readonly svg: string;
      /** With the first picture that needs it: the engraver's font for note signs within words, WOFF2 in Base64. */
      readonly font: string | undefined;
    }
  | { readonly kind: "notDrawn"; readonly generation: number; readonly system: number; readonly why: string };
