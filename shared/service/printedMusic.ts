import { InputError } from "../text/problem.ts";
import type { Analysis } from "./analyse.ts";
import { type PanelEngraving, panelEngraving } from "./panelEngraving.ts";
import { PanelIds } from "./panelIds.ts";
import type { PanelBracket } from "./panelScore.ts";

/** The harp's music as it is printed, to be engraved on paper. */
export interface PrintedMusic {
  readonly engraving: PanelEngraving;
  /** Placing brackets, which are drawn over the engraved notes. */
  readonly brackets: readonly Pick<PanelBracket, "hand" | "notes" | "firstNotes" | "lastNotes">[];
  /** Names of notes in the engraved copy. */
  readonly ids: PanelIds;
}

/**
 * What is printed, and nothing that is proposed.
 * @throws InputError when there is no harp part.
 */
export function printedMusic(analysis: Analysis): PrintedMusic {
  const { harp, hands } = analysis;
  if (!harp) throw new InputError(analysis.problems[0]?.message ?? "There is no harp part.");
  const ids = new PanelIds(harp);
  const brackets = hands.flatMap(({ hand, line, brackets: printed }) =>
    printed.brackets.map(({ first, last }) => {
      const notesOf = (event: number): string[] =>
        line.events[event]!.notes.flatMap(({ note, doubles }) =>
          [note, ...doubles].map((each) => ids.note(each)),
        );
      const notes = Array.from({ length: last - first + 1 }, (_, i) => notesOf(first + i));
      return { hand, notes: notes.flat(), firstNotes: notes[0]!, lastNotes: notes[notes.length - 1]! };
    }),
  );
  return { engraving: panelEngraving({ ...analysis, harp }), brackets, ids };
}
