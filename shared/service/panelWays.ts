import { type Alternatives, alternatives } from "../fingering/alternatives.ts";
import type { BothSolutions, HandLinesToSolve } from "../fingering/bothHands.ts";
import { solveBoth } from "../fingering/jumps.ts";
import type { Finger, FingeringLine, Placing, Solution } from "../fingering/model.ts";
import { writeFingering } from "../fingering/write.ts";
import { type Keep, locksOf, searchLine, type WrittenHand } from "../fingering/written.ts";
import type { Edit } from "../text/edits.ts";
import type { Analysis } from "./analyse.ts";
import { compareSolutions } from "./explain.ts";
import { pitchNames } from "./places.ts";
import { type PluckedNote, pluckedNote } from "./pluckedNote.ts";
import { proposal } from "./proposal.ts";

/** Another way to finger the placing of a note. */
export interface PanelWay {
  /** In the order of playing; the notes of a chord lowest first. */
  readonly notes: readonly WayNote[];
  /** What it costs more than the fingering as it is, in thousandths; below 0 when it costs less. */
  readonly moreMilli: number;
  readonly equallyGood: boolean;
  /** `costs 0.6 more: crosses once less, but …`. */
  readonly words: string;
}

export interface WayNote {
  readonly pitch: string;
  readonly finger: Finger | undefined;
  /** The fingering as it is has another finger here. */
  readonly changed: boolean;
  /** Plucked together with the note before it. */
  readonly chord: boolean;
  /** A placing begins with this note. */
  readonly placingBegins: boolean;
}

interface FoundWay {
  readonly way: PanelWay;
  /** Of the whole hand: the fingering as it is, with this way in it. */
  readonly solution: Solution;
  /** The events to write, both ends included. */
  readonly range: { readonly first: number; readonly last: number };
}

/** One fewer than is searched for, as the fingering as it is comes up too. */
const mostWays = 3;

const known = new WeakMap<Analysis, Map<string, readonly FoundWay[]>>();

/**
 * The best other ways to finger the placing of a note, the print outside it kept; cheapest first.
 * Takes some tenths of a second; the answer is kept as long as the analysis.
 *
 * @param note an id of `PanelIds`.
 * @throws InputError when there is no such note or it is not plucked.
 */
export function panelWays(analysis: Analysis, note: string): PanelWay[] {
  return waysAt(analysis, pluckedNote(analysis, note).place).map(({ way }) => way);
}

/**
 * The edits that print a way in the place of what is there.
 * @param index in what `panelWays` gives for the note.
 * @returns undefined when there is no such way.
 */
export function wayEdits(analysis: Analysis, note: string, index: number): readonly Edit[] | undefined {
  const { place } = pluckedNote(analysis, note);
  const found = waysAt(analysis, place)[index];
  if (!found) return undefined;
  const { solution, range } = found;
  return writeFingering(analysis, [{ written: place.written, solution, range }], { replace: true });
}

function waysAt(analysis: Analysis, { written, event }: PluckedNote["place"]): readonly FoundWay[] {
  const current = proposal(analysis, written);
  const holding = current.placings.filter(({ first, last }) => first <= event && event <= last);
  const first = holding[0]!.first;
  const last = holding.at(-1)!.last;
  const ways = known.get(analysis) ?? new Map<string, readonly FoundWay[]>();
  known.set(analysis, ways);
  const key = `${written.hand} ${first} ${last}`;
  const found = ways.get(key) ?? findWays(analysis, written, current, { first, last });
  ways.set(key, found);
  return found;
}

interface Range {
  readonly first: number;
  readonly last: number;
}

function findWays(analysis: Analysis, written: WrittenHand, current: Solution, stretch: Range): FoundWay[] {
  const { hand } = written;
  const lines: HandLinesToSolve = Object.fromEntries(
    analysis.hands.map((each) => [
      each.hand,
      { ...searchLine(each.line), locks: locksOf(each, each === written ? keepWithout(stretch) : undefined) },
    ]),
  );
  const found = alternatives(lines, { hand, ...stretch }, mostWays + 1, analysis.weights);
  const offset = found.offsets[hand];
  const now = moved(asItIs(found, current, offset, analysis), hand, offset);
  return found.solutions
    .map((solution) => moved(solution, hand, offset))
    .filter((solution) => !alike(solution, now, stretch))
    .slice(0, mostWays)
    .map((solution): FoundWay => {
      const { differenceMilli, equallyGood, words } = compareSolutions(written, now, solution);
      return {
        way: {
          notes: wayNotes(written, solution, now, stretch),
          moreMilli: differenceMilli,
          equallyGood,
          words,
        },
        solution: spliced(current, solution, offset, found.lines[hand]!.events.length),
        range: toWrite(solution.placings, stretch),
      };
    });
}

/** All print but the stretch's own fingers and the brackets over them; new placings may reach over its ends. */
export function keepWithout({ first, last }: Range): Keep {
  return {
    fingers: (event) => event < first || event > last,
    placings: (placing) =>
      first === last
        ? placing.last < first || placing.first > first
        : placing.last <= first || placing.first >= last,
  };
}

/** The fingering as it is, in the same surroundings as the alternatives. */
function asItIs(
  { lines, stretch }: Alternatives,
  current: Solution,
  offset: number,
  { weights }: Analysis,
): BothSolutions {
  const line = lines[stretch.hand]!;
  const count = line.events.length;
  const fingers = line.events.map((_, i) =>
    i >= stretch.first && i <= stretch.last ? current.fingers[offset + i] : line.locks?.fingers[i],
  );
  const own = current.placings
    .map(({ first, last }) => ({ first: first - offset, last: last - offset }))
    .filter(
      ({ first, last }) => last >= stretch.first && first <= stretch.last && first >= 0 && last < count,
    );
  const printed = (line.locks?.placings ?? []).filter(
    ({ first, last }) => !own.some((placing) => placing.first === first && placing.last === last),
  );
  const placings = [...own, ...printed].sort((a, b) => a.first - b.first || a.last - b.last);
  const decided: FingeringLine = { ...line, locks: { ...line.locks, fingers, placings } };
  return solveBoth({ ...lines, [stretch.hand]: decided }, weights);
}

/** One hand's solution with the events of the whole line, and with what both hands cost as its total. */
function moved(both: BothSolutions, hand: "right" | "left", offset: number): Solution {
  const own = both[hand]!;
  return {
    ...own,
    totalMilli: (both.right?.totalMilli ?? 0) + (both.left?.totalMilli ?? 0),
    placings: own.placings.map((placing) => ({
      ...placing,
      first: placing.first + offset,
      last: placing.last + offset,
    })),
    fingers: [...new Array(offset).fill([]), ...own.fingers],
  };
}

function alike(a: Solution, b: Solution, { first, last }: Range): boolean {
  for (let event = first; event <= last; event += 1) {
    if (a.fingers[event]!.some((finger, j) => finger !== b.fingers[event]![j])) return false;
    if (event < last && joined(a, event) !== joined(b, event)) return false;
  }
  return true;
}

function joined({ placings }: Solution, event: number): boolean {
  return placings.some(({ first, last }) => first <= event && last > event);
}

function wayNotes(written: WrittenHand, way: Solution, now: Solution, { first, last }: Range): WayNote[] {
  const begins = new Set(way.placings.map((placing) => placing.first));
  const notes: WayNote[] = [];
  for (let event = first; event <= last; event += 1) {
    pitchNames(written, event).forEach((pitch, j) => {
      const finger = way.fingers[event]![j];
      notes.push({
        pitch,
        finger,
        changed: finger !== now.fingers[event]![j],
        chord: j > 0,
        placingBegins: j === 0 && begins.has(event),
      });
    });
  }
  return notes;
}

/** The whole line, with the new fingering of a part of it. */
function spliced(current: Solution, part: Solution, offset: number, count: number): Solution {
  const inside = (event: number): boolean => event >= offset && event < offset + count;
  return {
    ...current,
    fingers: current.fingers.map((row, event) => (inside(event) ? part.fingers[event]! : row)),
    placings: [
      ...current.placings.filter(({ last }) => last < offset),
      ...part.placings,
      ...current.placings.filter(({ first }) => first >= offset + count),
    ],
  };
}

/** The stretch and the rest of the placings that reach into it by more than a shared note. */
function toWrite(placings: readonly Placing[], stretch: Range): Range {
  const reaching = placings.filter(({ first, last }) =>
    stretch.first === stretch.last || first === last
      ? first <= stretch.last && last >= stretch.first
      : first < stretch.last && last > stretch.first,
  );
  return {
    first: Math.min(stretch.first, ...reaching.map(({ first }) => first)),
    last: Math.max(stretch.last, ...reaching.map(({ last }) => last)),
  };
}
