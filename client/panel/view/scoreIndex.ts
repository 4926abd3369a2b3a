import type { PanelFinding, PanelHand, PanelNote, PanelScore } from "../../../shared/protocol/panel.ts";

/** An event of one hand. */
export interface EventPlace {
  readonly hand: PanelHand;
  readonly event: number;
}

/** Finds things in a score by their names, places and times. */
export class ScoreIndex {
  readonly score: PanelScore;
  readonly #notes: ReadonlyMap<string, PanelNote>;
  readonly #findings = new Map<string, PanelFinding[]>();
  /** All instants at which something is plucked, ascending. */
  readonly instants: readonly number[];
  /** The instants at which a placing begins to be played, ascending. */
  readonly placingStarts: readonly number[];

  constructor(score: PanelScore) {
    this.score = score;
    this.#notes = new Map(score.notes.map((note) => [note.id, note]));
    for (const finding of score.findings) {
      for (const note of finding.notes) {
        const known = this.#findings.get(note);
        if (known) known.push(finding);
        else this.#findings.set(note, [finding]);
      }
    }
    this.instants = ascending(score.hands.flatMap(({ events }) => events.map(({ atMicros }) => atMicros)));
    this.placingStarts = ascending(
      score.hands.flatMap(({ events, placings }) => placings.map(({ first }) => events[first]!.atMicros)),
    );
  }

  note(id: string | undefined): PanelNote | undefined {
    return id === undefined ? undefined : this.#notes.get(id);
  }

  findingsAt(id: string): readonly PanelFinding[] {
    return this.#findings.get(id) ?? [];
  }

  hand(name: "right" | "left"): PanelHand | undefined {
    return this.score.hands.find(({ hand }) => hand === name);
  }

  /** The event that plucks a note; undefined for a note that is not plucked. */
  eventOf(note: PanelNote): EventPlace | undefined {
    const hand = this.hand(note.hand);
    return hand && note.event !== undefined ? { hand, event: note.event } : undefined;
  }

  /** The hand's last event that does not sound later than this; −1 before the first. */
  lastEventAt(hand: PanelHand, micros: number): number {
    let low = 0;
    let high = hand.events.length;
    while (low < high) {
      const middle = (low + high) >> 1;
      if (hand.events[middle]!.atMicros <= micros) low = middle + 1;
      else high = middle;
    }
    return low - 1;
  }

  /** The note whose element holds this offset of the text, else the nearest before it in the same measure. */
  noteAtOffset(offset: number): PanelNote | undefined {
    const { notes, measures } = this.score;
    const inside = notes.find(({ span }) => span.start <= offset && offset <= span.end);
    if (inside) return inside;
    const measure = measures.findIndex(({ span }) => span.start <= offset && offset < span.end);
    if (measure < 0) return undefined;
    const before = notes.filter((note) => note.measure === measure && note.span.start <= offset);
    return before.at(-1) ?? notes.find((note) => note.measure === measure);
  }

  /** The note that stands where another one stood before the text changed. */
  sameNote(before: PanelNote): PanelNote | undefined {
    const same = (note: PanelNote): boolean =>
      note.hand === before.hand && note.measure === before.measure && note.beat === before.beat;
    return (
      this.score.notes.find((note) => same(note) && note.pitch === before.pitch) ??
      this.score.notes.find(same)
    );
  }
}

function ascending(values: readonly number[]): number[] {
  return [...new Set(values)].sort((a, b) => a - b);
}
