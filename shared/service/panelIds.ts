import type { HarpChoice } from "../score/hands.ts";
import type { Note } from "../score/model.ts";

/** Names the harp's notes and measures in the panel: the same name in the engraved copy, the picture and messages. */
export class PanelIds {
  readonly #partOf = new Map<Note, number>();
  readonly #notes: readonly (readonly Note[])[];

  constructor(harp: HarpChoice) {
    this.#notes = harp.parts.map((part) => part.notes);
    harp.parts.forEach((part, i) => {
      for (const note of part.notes) this.#partOf.set(note, i);
    });
  }

  note(note: Note): string {
    return noteId(this.#partOf.get(note) ?? 0, note.index);
  }

  /** The note of an id; undefined for anything else. */
  find(id: string): Note | undefined {
    const match = /^note-(\d+)-(\d+)$/.exec(id);
    return match ? this.#notes[Number(match[1])]?.[Number(match[2])] : undefined;
  }
}

export function noteId(part: number, index: number): string {
  return `note-${part}-${index}`;
}

/** Only the first part's measures carry one: measures of several parts are drawn as one. */
export function measureId(index: number): string {
  return `measure-${index}`;
}
