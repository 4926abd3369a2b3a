import { InputError } from "../text/problem.ts";
import type { Analysis } from "./analyse.ts";
import { type HarpNote, noteAt } from "./noteAt.ts";
import { PanelIds } from "./panelIds.ts";

/** A note and where it went among what its hand plucks. */
export type PluckedNote = HarpNote & { readonly place: NonNullable<HarpNote["place"]> };

/** The harp's note of an id. @throws InputError when there is none. */
export function harpNote(analysis: Analysis, id: string): HarpNote {
  const note = analysis.harp && new PanelIds(analysis.harp).find(id);
  const found = note && noteAt(analysis, note.site.span.start);
  if (!found) throw new InputError("There is no such note. Choose one of the harp's.");
  return found;
}

/** The same, for a note that takes a finger. @throws InputError when it is not plucked. */
export function pluckedNote(analysis: Analysis, id: string): PluckedNote {
  const found = harpNote(analysis, id);
  const { place } = found;
  if (!place) throw new InputError("This note is not plucked, so it takes no finger.");
  return { ...found, place };
}
