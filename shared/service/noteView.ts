import type { Finger, HandName } from "../fingering/model.ts";
import { harpStringName, pitchName } from "../score/pitch.ts";
import { add, format, rational } from "../score/rational.ts";
import type { Span } from "../text/span.ts";
import type { Analysis } from "./analyse.ts";
import { type ExplainedPlacing, explainPlacing, type WeighedChoice, weighChoice } from "./explain.ts";
import { movesAt } from "./movesAt.ts";
import { noteAt } from "./noteAt.ts";
import { proposal } from "./proposal.ts";

/** What the hand does at one note. */
export interface NoteView {
  /** The `<note>` element. */
  readonly span: Span;
  readonly pitch: string;
  readonly hand: HandName;
  /** The measure's number as printed. */
  readonly bar: string;
  /** In quarter notes from 1. */
  readonly beat: string;
  /** The string as harpists name it. */
  readonly string: string;
  /** The texts of its `<fingering>` elements, in order. */
  readonly printed: readonly string[];
  /** Undefined for a tie's continuation, a cue and an unprinted note: none of them is plucked. */
  readonly plucked: PluckedView | undefined;
}

/** A plucked note in the fingering that keeps what is printed and finds the rest. */
export interface PluckedView {
  /** Undefined when the hand has none left for it. */
  readonly finger: Finger | undefined;
  /** The placings that hold it: two when it is the note that both share. */
  readonly placings: readonly ExplainedPlacing[];
  /** Every finger it can have and what each costs more, the placings around it following along. */
  readonly choice: WeighedChoice;
  /** What levers or pedals do for it or just before it, in sentences; none where the harp is not known. */
  readonly moves: readonly string[];
}

/** What there is to say about the note at a place in the text; undefined where no note of the harp is. */
export function noteView(analysis: Analysis, offset: number): NoteView | undefined {
  const found = noteAt(analysis, offset);
  if (!found) return undefined;
  const { note, hand } = found;
  return {
    span: note.site.span,
    pitch: pitchName(note.pitch),
    hand,
    bar: note.measure.number,
    beat: format(add(note.position, rational(1))),
    string: harpStringName(note.string),
    printed: note.fingerings.map((fingering) => fingering.text),
    plucked: found.place && pluckedView(analysis, found.place),
  };
}

function pluckedView(
  analysis: Analysis,
  { written, event, stringAt }: NonNullable<ReturnType<typeof noteAt>>["place"] & {},
): PluckedView {
  const solution = proposal(analysis, written);
  return {
    finger: solution.fingers[event]?.[stringAt],
    placings: solution.placings.flatMap((placing, index) =>
      placing.first <= event && event <= placing.last ? [explainPlacing(written, solution, index)] : [],
    ),
    choice: weighChoice(written, event, stringAt, analysis.weights, { solution }),
    moves: movesAt(analysis, written.hand, event),
  };
}
