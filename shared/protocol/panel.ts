import type { PanelChange } from "../service/panelChange.ts";
import type { PanelNoteDetails } from "../service/panelNote.ts";
import type { PanelReading } from "../service/panelScore.ts";
import type { PanelWay } from "../service/panelWays.ts";

export type { PanelChange } from "../service/panelChange.ts";
export type { PanelEngraving } from "../service/panelEngraving.ts";
export type { FingerStay, Look, PanelEvent, PanelHand, PanelPlacing } from "../service/panelHands.ts";
export type {
  MechanismPosition,
  PanelMechanism,
  PanelMove,
  PanelSetting,
} from "../service/panelMechanism.ts";
export type { PanelNoteDetails, PanelPlacingDetails } from "../service/panelNote.ts";
export type { PanelCell, PanelOccurrence, PanelPassage, PanelRepeats } from "../service/panelRepeats.ts";
export type {
  PanelBracket,
  PanelBroken,
  PanelFinding,
  PanelMeasure,
  PanelNote,
  PanelReading,
  PanelScore,
  PanelString,
} from "../service/panelScore.ts";
export type { PanelWay, WayNote } from "../service/panelWays.ts";

/** A score that the panel can show. */
export interface PanelScoreName {
  /** Names it in every question; what it looks like is the host's own affair. */
  readonly uri: string;
  /** As people read it: a file's name, or its path below the folder that is shown. */
  readonly name: string;
}

/** A reading of one version of a text. Versions of one text only grow. */
export interface PanelAnswer {
  readonly version: number;
  readonly reading: PanelReading;
}

/** What the page may ask of whoever shows it, and what it gets. A question that cannot be answered is refused with a sentence. */
export interface PanelQuestions {
  scores: { asks: Record<string, never>; gets: readonly PanelScoreName[] };
  read: { asks: { readonly uri: string }; gets: PanelAnswer };
  note: {
    asks: { readonly uri: string; readonly version: number; readonly note: string };
    gets: PanelNoteDetails;
  };
  ways: {
    asks: { readonly uri: string; readonly version: number; readonly note: string };
    gets: readonly PanelWay[];
  };
  change: {
    asks: { readonly uri: string; readonly version: number; readonly change: PanelChange };
    gets: PanelChanged;
  };
  /** Shows a place in the text; with `focus` the text is opened and the cursor goes there. */
  reveal: {
    asks: {
      readonly uri: string;
      readonly version: number;
      readonly span: { readonly start: number; readonly end: number };
      readonly focus: boolean;
    };
    gets: null;
  };
}

/** What became of a change. */
export interface PanelChanged {
  /** How many places of the text were changed; 0 when everything was printed so already. */
  readonly edits: number;
  readonly label: string;
}

export type PanelQuestion = keyof PanelQuestions;

/** What the page is told without asking. */
export type PanelNews =
  /** The text of a score is another one now. */
  | { readonly kind: "changed"; readonly uri: string }
  /** There are other scores now. */
  | { readonly kind: "scores" }
  /** The cursor stands in the text of a score. */
  | { readonly kind: "cursor"; readonly uri: string; readonly version: number; readonly offset: number }
  /** Show this score. */
  | { readonly kind: "show"; readonly uri: string };

/** From the page to the editor's side. */
export type ToPanelHost =
  | { readonly kind: "ready" }
  | { readonly kind: "ask"; readonly id: number; readonly question: PanelQuestion; readonly asks: unknown };

/** From the editor's side to the page. */
export type ToPanelPage =
  | { readonly kind: "news"; readonly news: PanelNews }
  | { readonly kind: "answer"; readonly id: number; readonly gets: unknown }
  | { readonly kind: "refusal"; readonly id: number; readonly why: string };

/** The language server's own requests, one for each question that it answers; parameters are what the page asks. */
export const panelRequests = {
  read: "placewright/panel/read",
  note: "placewright/panel/note",
  ways: "placewright/panel/ways",
  change: "placewright/panel/change",
} as const satisfies Partial<Record<PanelQuestion, string>>;

/**
 * The language server tells an editor that has a panel, which says so by `panel: true` when it starts, that scores with
 * the same texts may be shown otherwise now: settings, accepted findings or house rules are others. It has no parameters.
 */
export const panelNotifications = { changed: "placewright/panel/changed" } as const;

/** What the page finds in the document that it is loaded from: a `<script type="application/json" id="settings">`. */
export interface PanelPageSettings {
  /** Who shows the page: an editor, or the loopback server. */
  readonly host: "editor" | "browser";
  /** Addresses of what the engraver is made of, relative to the page or whole. */
  readonly engraver: { readonly module: string; readonly toolkit: string; readonly worker: string };
}
