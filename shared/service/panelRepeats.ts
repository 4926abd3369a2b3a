import type { Finger, HandName, Placing, Solution } from "../fingering/model.ts";
import { notePrinted } from "../fingering/write.ts";
import type { WrittenHand } from "../fingering/written.ts";
import type { PassageKind } from "../passages/model.ts";
import { toNumber } from "../score/rational.ts";
import type { Analysis } from "./analyse.ts";
import type { PanelIds } from "./panelIds.ts";
import { passagesOf } from "./passagesOf.ts";
import { placeOf } from "./places.ts";

/** What comes back in a score, laid out for a map of it. */
export interface PanelRepeats {
  /** In order of their first occurrence. */
  readonly passages: readonly PanelPassage[];
  /** What was left out or cut short, in sentences. */
  readonly messages: readonly string[];
}

export interface PanelPassage {
  /** `A`, `B` … `Z`, `AA`. */
  readonly name: string;
  readonly kind: PassageKind;
  /** Of the first occurrence. */
  readonly events: number;
  readonly occurrences: readonly PanelOccurrence[];
  /** `unlike` when any occurrence is, else `open` when any is. */
  readonly likeness: PanelOccurrence["likeness"];
}

export interface PanelOccurrence {
  readonly hand: HandName;
  /** Inclusive range of the hand's events. */
  readonly first: number;
  readonly last: number;
  /** `bars 3 to 4`. */
  readonly bars: string;
  /** Where it begins and ends on a strip of bars: index of the measure and how far into it, from 0 to below 1. */
  readonly from: number;
  readonly to: number;
  /** How many strings it lies above the first occurrence. */
  readonly steps: number;
  /**
   * Whether it is fingered as the first one: `unlike` when printed fingers or placings differ, `open` when something
   * differs that is only proposed in one of them.
   */
  readonly likeness: "alike" | "unlike" | "open";
  /** cells[m] stands beside event m of the first occurrence; undefined where this one has no such event. */
  readonly cells: readonly (PanelCell | undefined)[];
}

/** One event of an occurrence. */
export interface PanelCell {
  readonly notes: readonly string[];
  /** Lowest first. */
  readonly fingers: readonly (Finger | undefined)[];
  /** Whether all its fingers are printed. */
  readonly printed: boolean;
  /** One placing holds this event and the occurrence's next one. */
  readonly joined: boolean;
  /** Differs from the first occurrence in a finger, or in being joined to the next event. */
  readonly differs: { readonly fingers: boolean; readonly joined: boolean };
}

/** The map of what comes back. @param solutions a fingering for each hand, in their order. */
export function panelRepeats(
  analysis: Analysis,
  solutions: readonly Solution[],
  ids: PanelIds,
): PanelRepeats {
  const { classes, messages } = passagesOf(analysis);
  const fingered = analysis.hands.map((written, i) => new FingeredLine(written, solutions[i]!, ids));
  const passages = classes.map((passage, index): PanelPassage => {
    const [model] = passage.occurrences;
    const rows = passage.occurrences.map(({ hand }, k) =>
      lineOf(fingered, hand).cells(passage.alignment[k]!),
    );
    const occurrences = passage.occurrences.map((occurrence, k): PanelOccurrence => {
      const { hand, first, last, steps } = occurrence;
      const line = lineOf(fingered, hand);
      const cells = rows[k]!.map((cell, m) => cell && compared(cell, rows[0]![m]));
      return {
        hand,
        first,
        last,
        bars: barsText(line.written, first, last),
        from: line.place(first),
        to: line.endPlace(last),
        steps,
        likeness: likenessOf(cells, rows[0]!),
        cells,
      };
    });
    return {
      name: passageName(index),
      kind: passage.kind,
      events: model!.last - model!.first + 1,
      occurrences,
      likeness: worst(occurrences.map(({ likeness }) => likeness)),
    };
  });
  return { passages, messages };
}

function lineOf(lines: readonly FingeredLine[], hand: HandName): FingeredLine {
  return lines.find(({ written }) => written.hand === hand)!;
}

function barsText(hand: WrittenHand, first: number, last: number): string {
  const from = placeOf(hand, first).bar;
  const to = placeOf(hand, last).bar;
  return from === to ? `bar ${from}` : `bars ${from} to ${to}`;
}

/** `A` … `Z`, `AA`, `AB` … */
export function passageName(index: number): string {
  const letter = String.fromCharCode(65 + (index % 26));
  return index < 26 ? letter : `${passageName(Math.floor(index / 26) - 1)}${letter}`;
}

type PlainCell = Omit<PanelCell, "differs">;

/** An event of other strings has other fingers by right: only chords of as many notes are compared. */
function compared(cell: PlainCell, model: PlainCell | undefined): PanelCell {
  const comparable = model !== undefined && model.fingers.length === cell.fingers.length;
  return {
    ...cell,
    differs: {
      fingers: comparable && cell.fingers.some((finger, j) => finger !== model.fingers[j]),
      joined: model !== undefined && cell.joined !== model.joined,
    },
  };
}

function likenessOf(
  cells: readonly (PanelCell | undefined)[],
  model: readonly (PlainCell | undefined)[],
): PanelOccurrence["likeness"] {
  return worst(
    cells.map((cell, m) => {
      if (!cell || (!cell.differs.fingers && !cell.differs.joined)) return "alike";
      return cell.printed && model[m]?.printed ? "unlike" : "open";
    }),
  );
}

function worst(all: readonly PanelOccurrence["likeness"][]): PanelOccurrence["likeness"] {
  if (all.includes("unlike")) return "unlike";
  return all.includes("open") ? "open" : "alike";
}

/** A hand's line as it is fingered. */
class FingeredLine {
  readonly written: WrittenHand;
  readonly #solution: Solution;
  readonly #ids: PanelIds;
  /** joined[i]: one placing holds events i and i + 1. */
  readonly #joined: readonly boolean[];

  constructor(written: WrittenHand, solution: Solution, ids: PanelIds) {
    this.written = written;
    this.#solution = solution;
    this.#ids = ids;
    this.#joined = joinedEvents(solution.placings, written.line.events.length);
  }

  cells(events: readonly (number | undefined)[]): (PlainCell | undefined)[] {
    return events.map((event, m) => {
      if (event === undefined) return undefined;
      const { notes } = this.written.line.events[event]!;
      const fingers = notes.map((_, j) => this.#solution.fingers[event]?.[j]);
      return {
        notes: notes.map((entry) => this.#ids.note(notePrinted(entry))),
        fingers,
        printed: notes.every((_, j) => this.written.fingers[event]?.[j] !== undefined),
        joined: events[m + 1] === event + 1 && this.#joined[event]!,
      };
    });
  }

  /** Measure index and the part of the measure that lies before the event. */
  place(event: number): number {
    const { measure, position } = this.written.line.events[event]!.notes[0]!.note;
    const length = toNumber(measure.length);
    return measure.index + (length > 0 ? Math.min(0.999, toNumber(position) / length) : 0);
  }

  /** Where the next event, or the measure of this one, begins or ends. */
  endPlace(event: number): number {
    const end = Math.floor(this.place(event)) + 1;
    return event + 1 < this.written.line.events.length ? Math.min(end, this.place(event + 1)) : end;
  }
}

function joinedEvents(placings: readonly Placing[], count: number): boolean[] {
  const joined: boolean[] = new Array(count).fill(false);
  for (const { first, last } of placings) joined.fill(true, first, last);
  return joined;
}
