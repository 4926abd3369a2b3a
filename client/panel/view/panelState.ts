import type {
  PanelBroken,
  PanelNoteDetails,
  PanelScore,
  PanelScoreName,
  PanelWay,
} from "../../../shared/protocol/panel.ts";
import type { ScoreIndex } from "./scoreIndex.ts";

export type ViewName = "score" | "hands" | "repeats";
export type ThemeName = "auto" | "light" | "dark" | "contrast-dark" | "contrast-light";

/** A score that can be shown, and the version of the text that it was read from. */
export interface ShownScore {
  readonly version: number;
  readonly score: PanelScore;
  readonly index: ScoreIndex;
  /** When it was read, in milliseconds since 1970. */
  readonly readAt: number;
}

/** Why the picture is older than the text. */
export interface Trouble {
  readonly version: number;
  readonly broken: PanelBroken;
  /** Since when, in milliseconds since 1970. */
  readonly since: number;
}

/** Bars that are marked; indices of measures, both included. */
export interface BarRange {
  readonly first: number;
  readonly last: number;
}

/** A sentence for the user about what just happened. */
export interface Notice {
  readonly kind: "done" | "refused";
  readonly text: string;
}

/** What is known about the selected note beyond the score. */
export interface NoteAnswers {
  readonly version: number;
  readonly note: string;
  readonly details: PanelNoteDetails | undefined;
  readonly ways: readonly PanelWay[] | undefined;
}

/** The one state that all views show. */
export interface PanelState {
  readonly scores: readonly PanelScoreName[];
  readonly uri: string | undefined;
  /** The last text that could be read. */
  readonly shown: ShownScore | undefined;
  readonly trouble: Trouble | undefined;
  /** Whether nothing has been read of this score yet. */
  readonly waiting: boolean;
  readonly view: ViewName;
  readonly zoom: number;
  readonly theme: ThemeName;
  readonly showsProposal: boolean;
  readonly selected: string | undefined;
  readonly bars: BarRange | undefined;
  /** The passage that is compared: its place among the passages. */
  readonly passage: number | undefined;
  readonly answers: NoteAnswers | undefined;
  /** Where the music stands, in microseconds from the start, as written. */
  readonly timeMicros: number;
  readonly playing: boolean;
  readonly tempoPercent: number;
  readonly sounds: boolean;
  readonly notice: Notice | undefined;
  /** A change has been asked for and not been answered. */
  readonly changing: boolean;
}

/** What is kept when the page is hidden, reloaded, or opened again after a restart. */
export type Remembered = Pick<
  PanelState,
  | "uri"
  | "view"
  | "zoom"
  | "theme"
  | "showsProposal"
  | "selected"
  | "passage"
  | "tempoPercent"
  | "sounds"
  | "timeMicros"
> & {
  /** The measure at the top of the score, and how far into its system the view begins, in pixels. */
  readonly scroll: { readonly measure: number; readonly offset: number } | undefined;
};

export const zooms = [0.5, 0.65, 0.8, 1, 1.25, 1.5, 2] as const;
export const tempos = [25, 40, 50, 60, 75, 90, 100, 125, 150] as const;

export const initialState: PanelState = {
  scores: [],
  uri: undefined,
  shown: undefined,
  trouble: undefined,
  waiting: true,
  view: "score",
  zoom: 1,
  theme: "auto",
  showsProposal: true,
  selected: undefined,
  bars: undefined,
  passage: undefined,
  answers: undefined,
  timeMicros: 0,
  playing: false,
  tempoPercent: 100,
  sounds: false,
  notice: undefined,
  changing: false,
};

/** What was kept before, as far as it is of use; a page of another version may have kept something else. */
export function recalled(kept: unknown): Partial<Remembered> {
  if (typeof kept !== "object" || kept === null) return {};
  const value = kept as Partial<Record<keyof Remembered, unknown>>;
  const views: readonly unknown[] = ["score", "hands", "repeats"];
  const themes: readonly unknown[] = ["auto", "light", "dark", "contrast-dark", "contrast-light"];
  const result: { -readonly [K in keyof Remembered]?: Remembered[K] } = {};
  if (typeof value.uri === "string") result.uri = value.uri;
  if (views.includes(value.view)) result.view = value.view as ViewName;
  if (themes.includes(value.theme)) result.theme = value.theme as ThemeName;
  if (zooms.some((zoom) => zoom === value.zoom)) result.zoom = value.zoom as number;
  if (tempos.some((tempo) => tempo === value.tempoPercent))
    result.tempoPercent = value.tempoPercent as number;
  if (typeof value.showsProposal === "boolean") result.showsProposal = value.showsProposal;
  if (typeof value.sounds === "boolean") result.sounds = value.sounds;
  if (typeof value.selected === "string") result.selected = value.selected;
  if (Number.isFinite(value.timeMicros)) result.timeMicros = value.timeMicros as number;
  if (Number.isInteger(value.passage)) result.passage = value.passage as number;
  if (isPair(value.scroll, "measure", "offset")) result.scroll = value.scroll;
  return result;
}

function isPair<A extends string, B extends string>(
  value: unknown,
  a: A,
  b: B,
): value is Record<A | B, number> {
  if (typeof value !== "object" || value === null) return false;
  const fields = value as Record<string, unknown>;
  return Number.isFinite(fields[a]) && Number.isFinite(fields[b]);
}
