import { newPlaceOf, oldBarOf } from "../editions/compareEditions.ts";
import type { EditionChange, EditionComparison, EditionPlace } from "../editions/model.ts";
import type { WrittenHand } from "../fingering/written.ts";
import { isFingeringChange, type ToldChange, toldChanges } from "./editionWords.ts";
import type { PanelIds } from "./panelIds.ts";

/** Bars of an edition, by index; both ends included. */
export interface ErratumBars {
  readonly first: number;
  readonly last: number;
}

/** One entry of an errata slip: some bars before and after. */
export interface Erratum {
  /** `bar 12`, as the new edition numbers it. */
  readonly title: string;
  readonly changes: readonly ToldChange[];
  readonly old: ErratumBars | undefined;
  readonly new: ErratumBars;
  /** Ids of the notes that are changed, in either edition. */
  readonly oldNotes: readonly string[];
  readonly newNotes: readonly string[];
}

/** An edition with the names of its notes in the engraved copy. */
export interface SlipEdition {
  readonly hands: readonly WrittenHand[];
  readonly ids: PanelIds;
}

/**
 * The entries of an errata slip, bar by bar: changes of fingering in bars that belong together (as under one bracket)
 * make one entry. Changes of notes are told, and stand with the fingering of their bar.
 */
export function errata(comparison: EditionComparison, old: SlipEdition, now: SlipEdition): Erratum[] {
  const told = toldChanges(comparison).filter(({ change }) => change.kind !== "bars");
  const entries: { new: { first: number; last: number }; changes: ToldChange[] }[] = [];
  for (const each of told.filter(({ change }) => isFingeringChange(change))) {
    const bars = barsOf(each.change);
    const open = entries[entries.length - 1];
    if (open && bars.first <= open.new.last && bars.last >= open.new.first) {
      open.changes.push(each);
      open.new.first = Math.min(open.new.first, bars.first);
      open.new.last = Math.max(open.new.last, bars.last);
    } else entries.push({ new: bars, changes: [each] });
  }
  const toOld = new Map(comparison.pairs.map((pair) => [pair.new, pair.old]));
  return entries.map((entry): Erratum => {
    const notes = told.filter(
      ({ change }) =>
        change.kind === "notes" &&
        change.at.measure >= entry.new.first &&
        change.at.measure <= entry.new.last,
    );
    const changes = told.filter((each) => entry.changes.includes(each) || notes.includes(each));
    const oldBars = Array.from({ length: entry.new.last - entry.new.first + 1 }, (_, i) =>
      toOld.get(entry.new.first + i),
    ).filter((bar) => bar !== undefined);
    return {
      title: titleOf(entry.changes, entry.new),
      changes,
      old: oldBars.length > 0 ? { first: Math.min(...oldBars), last: Math.max(...oldBars) } : undefined,
      new: entry.new,
      oldNotes: changes.flatMap(({ change }) => changedNotes(old, change, "old")),
      newNotes: changes.flatMap(({ change }) => changedNotes(now, change, "new")),
    };
  });
}

function barsOf(change: EditionChange): { first: number; last: number } {
  if (change.kind === "bars") throw new Error("bars that are new or gone have no entry of their own");
  const { measure } = newPlaceOf(change);
  const end = change.kind === "bracket" && change.new ? change.new.last.measure : measure;
  return { first: measure, last: end };
}

function titleOf(changes: readonly ToldChange[], { first, last }: ErratumBars): string {
  const bars = changes.flatMap(({ change }) => (change.kind === "bars" ? [] : [newPlaceOf(change)]));
  const { bar } = bars.find(({ measure }) => measure === first) ?? bars[0]!;
  const end = changes.flatMap(({ change }) =>
    change.kind === "bracket" && change.new?.last.measure === last ? [change.new.last.bar] : [],
  )[0];
  return end === undefined || end === bar ? `bar ${bar}` : `bars ${bar} to ${end}`;
}

function changedNotes({ hands, ids }: SlipEdition, change: EditionChange, edition: "old" | "new"): string[] {
  const at = (place: EditionPlace | undefined, isMeant: (pitch: number) => boolean, length = 1): string[] => {
    const line = place && hands.find(({ hand }) => hand === place.hand)?.line;
    if (!line) return [];
    return Array.from({ length }, (_, i) => line.events[place.event + i])
      .flatMap((event) => event?.notes ?? [])
      .filter((_, i) => isMeant(i))
      .map(({ note }) => ids.note(note));
  };
  const all = (): boolean => true;
  switch (change.kind) {
    case "bars":
      return [];
    case "bracket":
      return [...at(change[edition]?.first, all), ...at(change[edition]?.last, all)];
    case "fingers": {
      const length = Math.max(...change.notes.map(({ chord }) => chord)) + 1;
      return at(change[edition], all, length);
    }
    case "hand":
    case "notes":
      return at(edition === "old" ? oldBarOf(change) : change.new, all);
  }
}
