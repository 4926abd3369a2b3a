import type { Analysis } from "./analyse.ts";
import type { ExplainedPlacing } from "./explain.ts";
import { noteView } from "./noteView.ts";
import { harpNote } from "./pluckedNote.ts";
import { directionWords, unitsText } from "./words.ts";

/** Everything about one note, in words. */
export interface PanelNoteDetails {
  readonly id: string;
  readonly pitch: string;
  /** `C string, 4th octave`. */
  readonly string: string;
  readonly hand: "right" | "left";
  readonly bar: string;
  readonly beat: string;
  readonly finger: number | undefined;
  /** `print`: it is printed and kept. `proposal`: it is free. Undefined for a note that is not plucked. */
  readonly from: "print" | "proposal" | undefined;
  /** The texts of its `<fingering>` elements. */
  readonly printed: readonly string[];
  /** What levers or pedals do for it or just before it, in sentences. */
  readonly moves: readonly string[];
  readonly placings: readonly PanelPlacingDetails[];
  /** Fingers that it could have instead, with what each means. */
  readonly otherFingers: readonly { readonly finger: number; readonly words: string }[];
}

export interface PanelPlacingDetails {
  /** `rising, crosses: 3 goes under the thumb`. */
  readonly how: string;
  readonly notes: readonly {
    readonly pitch: string;
    readonly finger: number | undefined;
    readonly chord: boolean;
  }[];
  /** `1.35`. */
  readonly cost: string;
  /** What makes it up, largest first; what costs nothing is left out. */
  readonly terms: readonly { readonly cost: string; readonly words: string }[];
}

/**
 * What there is to say about a note.
 * @param id one of `PanelIds`.
 * @throws InputError when there is no such note.
 */
export function panelNote(analysis: Analysis, id: string): PanelNoteDetails {
  const { note, place } = harpNote(analysis, id);
  const { pitch, string, hand, bar, beat, printed, plucked } = noteView(analysis, note.site.span.start)!;
  const isPrinted = place && place.written.fingers[place.event]?.[place.stringAt] !== undefined;
  return {
    id,
    pitch,
    string,
    hand,
    bar,
    beat,
    printed,
    finger: plucked?.finger,
    from: plucked && (isPrinted ? "print" : "proposal"),
    moves: plucked?.moves ?? [],
    placings: plucked?.placings.map(placingDetails) ?? [],
    otherFingers:
      plucked?.choice.choices
        .filter(({ finger }) => finger !== plucked.finger)
        .map(({ finger, comparison }) => ({ finger, words: comparison.words })) ?? [],
  };
}

function placingDetails({
  direction,
  notes,
  jointText,
  totalMilli,
  terms,
}: ExplainedPlacing): PanelPlacingDetails {
  return {
    how: notes.length > 1 ? `${directionWords[direction]}, ${jointText}` : jointText,
    notes,
    cost: unitsText(totalMilli),
    terms: terms
      .filter(({ milli }) => milli !== 0)
      .sort((a, b) => b.milli - a.milli)
      .map(({ milli, words }) => ({ cost: unitsText(milli), words })),
  };
}
