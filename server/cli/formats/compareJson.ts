import type {
  EditionBracket,
  EditionChange,
  EditionComparison,
  EditionPlace,
} from "../../../shared/editions/model.ts";
import { toldChanges } from "../../../shared/service/editionWords.ts";

/** The changes as one JSON document, version 1; null where an edition has nothing of the kind. */
export function compareJson(
  paths: { readonly old: string; readonly new: string },
  comparison: EditionComparison,
): string {
  const document = {
    version: 1,
    old: paths.old,
    new: paths.new,
    changes: toldChanges(comparison).map(({ change, where, what }) => ({
      kind: change.kind,
      where,
      what,
      ...detailsOf(change),
    })),
    renumbered: comparison.renumbered,
  };
  return `${JSON.stringify(document, null, 2)}\n`;
}

function detailsOf(change: EditionChange): object {
  switch (change.kind) {
    case "bars":
      return { edition: change.edition, bars: change.bars, after: change.after ?? null, notes: change.notes };
    case "bracket":
      return { old: bracketJson(change.old), new: bracketJson(change.new) };
    case "fingers":
      return { ...placesOf(change), notes: change.notes };
    case "hand":
      return { ...placesOf(change), pitches: change.pitches };
    case "notes":
      return { ...placesOf(change), removed: change.removed, added: change.added };
  }
}

function placesOf({ old, new: now }: { readonly old?: EditionPlace; readonly new?: EditionPlace }): object {
  return { old: placeJson(old), new: placeJson(now) };
}

function placeJson(place: EditionPlace | undefined): object | null {
  return place ? { bar: place.bar, beat: place.beat, hand: place.hand } : null;
}

function bracketJson(bracket: EditionBracket | undefined): object | null {
  if (!bracket) return null;
  const { first, last, firstNotes, lastNotes } = bracket;
  return { from: { ...placeJson(first), notes: firstNotes }, to: { ...placeJson(last), notes: lastNotes } };
}
