import { firstWhere } from "../text/firstWhere.ts";
import { listed } from "./chordFingerings.ts";
import { isHarp, namesHarp } from "./isHarp.ts";
import type { Note, Part, Score } from "./model.ts";
import { add, compare } from "./rational.ts";

/**
 * The notes of the harp's parts that are played on another instrument: the player changes to the harp, or from it, in
 * the middle. A note's own instrument counts, else the last change before it.
 */
export function otherInstrumentNotes(
  score: Score,
  parts: readonly Part[],
): { readonly notes: ReadonlySet<Note>; readonly assumptions: readonly string[] } {
  const notes = new Set<Note>();
  const assumptions: string[] = [];
  for (const part of parts) {
    const harps = new Set(part.instruments.filter(isHarp).map(({ id }) => id));
    if (harps.size === 0 || harps.size === part.instruments.length) continue;
    const bars = new Set<string>();
    const instrumentOf = instrumentsOf(score, part);
    for (const note of part.notes) {
      const instrument = instrumentOf(note);
      if (instrument !== undefined && !harps.has(instrument)) notes.add(note);
      else bars.add(note.measure.number);
    }
    if (part.notes.some((note) => notes.has(note))) {
      const where = bars.size > 0 ? `only measures ${range(bars)} are the harp's` : "no note is the harp's";
      assumptions.push(
        `${part.name || part.id} is played on ${listed(new Set(part.instruments.map(nameOf)))}: ${where}.`,
      );
    }
  }
  return { notes, assumptions };
}

function nameOf({ name, id }: Part["instruments"][number]): string {
  return name || id;
}

/** `12 to 40` for measures in order. */
function range(bars: ReadonlySet<string>): string {
  const all = [...bars];
  return all.length === 1 ? all[0]! : `${all[0]} to ${all[all.length - 1]}`;
}

function instrumentsOf(score: Score, part: Part): (note: Note) => string | undefined {
  const changes = part.instrumentChanges.map(({ measure, position, instrument }) => ({
    at: add(score.measureStarts[measure.index]!, position),
    instrument,
  }));
  changes.sort((a, b) => compare(a.at, b.at));
  // A part that names several instruments and says nothing else begins with the first; one that is called a harp is one.
  const first = namesHarp(part.name) ? part.instruments.find(isHarp)?.id : part.instruments[0]?.id;
  const noteSays = part.notes.some((note) => note.instrument !== undefined);
  return (note) => {
    if (note.instrument !== undefined) return note.instrument;
    if (changes.length === 0) return noteSays ? first : undefined;
    const onset = add(score.measureStarts[note.measure.index]!, note.position);
    const next = firstWhere(changes.length, (i) => compare(changes[i]!.at, onset) > 0);
    return next > 0 ? changes[next - 1]!.instrument : first;
  };
}
