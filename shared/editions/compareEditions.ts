import type { WrittenHand } from "../fingering/written.ts";
import type { PrintedBracket } from "../score/brackets.ts";
import type { HandName } from "../score/hands.ts";
import { pitchName } from "../score/pitch.ts";
import { add, compare, format, rational } from "../score/rational.ts";
import { alignBars } from "./alignBars.ts";
import { type BarNote, barsOf, type EditionBar } from "./bars.ts";
import type {
  BarPair,
  Edition,
  EditionBracket,
  EditionChange,
  EditionComparison,
  EditionPlace,
  NotePrint,
} from "./model.ts";

/**
 * What is otherwise in a new edition of a piece: fingers, brackets, hands, and what is plucked when. How it is written
 * down (ids, divisions, voices, measure numbers, layout, note values) makes no difference.
 *
 * Bars are paired by their music (see `alignBars`), notes by instant and pitch, and brackets by the notes at their ends.
 * Where a bar is new or gone, its fingers and brackets go with it and are not told one by one.
 */
export function compareEditions(old: Edition, now: Edition): EditionComparison {
  const oldBars = barsOf(old);
  const newBars = barsOf(now);
  const pairs = alignBars(oldBars, newBars);
  const editions = { old, new: now };
  const counterparts = new Counterparts();
  const changes: EditionChange[] = [...barChanges(pairs, oldBars, newBars)];
  for (const pair of pairs) {
    if (pair.old === undefined || pair.new === undefined) continue;
    changes.push(...noteChanges(editions, oldBars[pair.old]!, newBars[pair.new]!, counterparts));
  }
  changes.push(...bracketChanges(editions, counterparts));
  return { pairs, changes: inOrder(changes, pairs), renumbered: renumberedBars(pairs, oldBars, newBars) };
}

interface Editions {
  readonly old: Edition;
  readonly new: Edition;
}

interface HandEvent {
  readonly hand: HandName;
  readonly event: number;
}

/** Which events of the two editions stand for each other. */
class Counterparts {
  readonly #toNew = new Map<string, HandEvent>();
  readonly #toOld = new Map<string, HandEvent>();

  /** The first pair that is told holds. */
  add(old: HandEvent, now: HandEvent): void {
    const [a, b] = [keyOf(old), keyOf(now)];
    if (!this.#toNew.has(a)) this.#toNew.set(a, now);
    if (!this.#toOld.has(b)) this.#toOld.set(b, old);
  }

  ofOld(old: HandEvent): HandEvent | undefined {
    return this.#toNew.get(keyOf(old));
  }

  ofNew(now: HandEvent): HandEvent | undefined {
    return this.#toOld.get(keyOf(now));
  }
}

function keyOf({ hand, event }: HandEvent): string {
  return `${hand} ${event}`;
}

interface NotePair {
  readonly old: BarNote;
  readonly new: BarNote;
}

function noteChanges(
  editions: Editions,
  oldBar: EditionBar,
  newBar: EditionBar,
  counterparts: Counterparts,
): EditionChange[] {
  const { pairs, oldLeft, newLeft } = matchedNotes(oldBar.notes, newBar.notes);
  for (const pair of pairs) counterparts.add(pair.old, pair.new);
  const notes = changedNotes(editions, newBar, oldLeft, newLeft);
  // A note that took the place of another keeps its place under brackets, and may have kept its finger.
  const replaced = replacedNotes(oldLeft, newLeft);
  for (const pair of replaced) counterparts.add(pair.old, pair.new);
  return [...notes, ...changedHands(editions, pairs), ...changedFingers(editions, [...pairs, ...replaced])];
}

/** Pairs notes of the same instant and pitch; of several those that the same hand plays with the same finger first. */
function matchedNotes(
  old: readonly BarNote[],
  now: readonly BarNote[],
): { readonly pairs: NotePair[]; readonly oldLeft: BarNote[]; readonly newLeft: BarNote[] } {
  const pairs: NotePair[] = [];
  let oldLeft = [...old];
  const newLeft = new Set(now);
  const keys: readonly ((note: BarNote) => string)[] = [
    ({ instant, pitch, hand, print }) => `${instant} ${pitch} ${hand} ${print}`,
    ({ instant, pitch, hand }) => `${instant} ${pitch} ${hand}`,
    ({ instant, pitch }) => `${instant} ${pitch}`,
  ];
  for (const key of keys) {
    const free = new Map<string, BarNote[]>();
    for (const note of newLeft) free.set(key(note), [...(free.get(key(note)) ?? []), note]);
    oldLeft = oldLeft.filter((note) => {
      const other = free.get(key(note))?.shift();
      if (!other) return true;
      newLeft.delete(other);
      pairs.push({ old: note, new: other });
      return false;
    });
  }
  return { pairs, oldLeft, newLeft: [...newLeft] };
}

function replacedNotes(oldLeft: readonly BarNote[], newLeft: readonly BarNote[]): NotePair[] {
  const free = [...newLeft];
  return oldLeft.flatMap((note) => {
    const at = free.findIndex(({ hand, instant }) => hand === note.hand && instant === note.instant);
    return at < 0 ? [] : [{ old: note, new: free.splice(at, 1)[0]! }];
  });
}

function changedNotes(
  { old, new: now }: Editions,
  { measure, number }: EditionBar,
  oldLeft: readonly BarNote[],
  newLeft: readonly BarNote[],
): EditionChange[] {
  const instants = new Map<string, { removed: BarNote[]; added: BarNote[] }>();
  const at = ({ hand, instant }: BarNote): { removed: BarNote[]; added: BarNote[] } => {
    const key = `${hand} ${instant}`;
    const known = instants.get(key) ?? { removed: [], added: [] };
    instants.set(key, known);
    return known;
  };
  for (const note of oldLeft) at(note).removed.push(note);
  for (const note of newLeft) at(note).added.push(note);
  return [...instants.values()].map(({ removed, added }) => {
    const before = removed[0] && placeIn(old, removed[0]);
    const after = added[0] && placeIn(now, added[0]);
    const { hand, beat } = (after ?? before)!;
    return {
      kind: "notes",
      old: before,
      new: after,
      at: { measure, bar: number, hand, beat },
      removed: removed.map(({ pitch }) => pitch),
      added: added.map(({ pitch }) => pitch),
    };
  });
}

function changedHands({ old, new: now }: Editions, pairs: readonly NotePair[]): EditionChange[] {
  const moved = new Map<string, NotePair[]>();
  for (const pair of pairs) {
    if (pair.old.hand === pair.new.hand) continue;
    const key = `${pair.old.hand} ${pair.old.instant}`;
    moved.set(key, [...(moved.get(key) ?? []), pair]);
  }
  return [...moved.values()].map((notes) => ({
    kind: "hand",
    old: placeIn(old, notes[0]!.old),
    new: placeIn(now, notes[0]!.new),
    pitches: notes.map(({ new: { pitch } }) => pitch),
  }));
}

/** So many events with the same fingers between two changes are told with them, as one reads fingers in a row. */
const mostBetween = 1;

function changedFingers({ old, new: now }: Editions, pairs: readonly NotePair[]): EditionChange[] {
  const changes: EditionChange[] = [];
  for (const hand of ["right", "left"] as const) {
    const own = pairs
      .filter((pair) => pair.new.hand === hand)
      .sort((a, b) => a.new.event - b.new.event || a.new.stringAt - b.new.stringAt);
    const changed = [
      ...new Set(own.filter((pair) => pair.old.print !== pair.new.print).map((pair) => pair.new.event)),
    ];
    for (const { first, last } of runsOf(changed)) {
      const notes = own.filter(({ new: { event } }) => event >= first && event <= last);
      const [start] = notes;
      changes.push({
        kind: "fingers",
        old: placeIn(old, start!.old),
        new: placeIn(now, start!.new),
        notes: notes.map(
          (pair): NotePrint => ({
            pitch: pair.new.pitch,
            chord: pair.new.event - first,
            old: pair.old.print,
            new: pair.new.print,
          }),
        ),
      });
    }
  }
  return changes;
}

function runsOf(events: readonly number[]): { first: number; last: number }[] {
  const runs: { first: number; last: number }[] = [];
  for (const event of events) {
    const run = runs[runs.length - 1];
    if (run && event - run.last <= mostBetween + 1) run.last = event;
    else runs.push({ first: event, last: event });
  }
  return runs;
}

function bracketChanges({ old, new: now }: Editions, counterparts: Counterparts): EditionChange[] {
  const oldBrackets = bracketsOf(old);
  const left = new Set(bracketsOf(now));
  const unlike = oldBrackets.filter((bracket) => {
    const first = counterparts.ofOld(startOf(bracket));
    const last = counterparts.ofOld(endOf(bracket));
    const same = [...left].find(
      (other) =>
        first !== undefined &&
        last !== undefined &&
        keyOf(startOf(other)) === keyOf(first) &&
        keyOf(endOf(other)) === keyOf(last),
    );
    if (same) left.delete(same);
    return !same;
  });
  const changes: EditionChange[] = [];
  for (const bracket of unlike) {
    const over = [...left].find((other) => meet(bracket, other, counterparts));
    if (over) left.delete(over);
    const remains = eventsUnder(bracket).flatMap((event) => counterparts.ofOld(event) ?? []);
    const at = over ? startOf(over) : remains[0];
    // Over bars that are gone, a bracket goes with them.
    if (at) {
      changes.push({
        kind: "bracket",
        old: told(old, bracket),
        new: over && told(now, over),
        at: placeIn(now, at),
      });
    }
  }
  for (const bracket of left) {
    if (eventsUnder(bracket).some((event) => counterparts.ofNew(event))) {
      const at = placeIn(now, startOf(bracket));
      changes.push({ kind: "bracket", old: undefined, new: told(now, bracket), at });
    }
  }
  return changes;
}

interface HandBracket {
  readonly hand: HandName;
  readonly bracket: PrintedBracket;
}

function bracketsOf({ hands }: Edition): HandBracket[] {
  return hands.flatMap(({ hand, brackets }) => brackets.brackets.map((bracket) => ({ hand, bracket })));
}

function startOf({ hand, bracket }: HandBracket): HandEvent {
  return { hand, event: bracket.first };
}

function endOf({ hand, bracket }: HandBracket): HandEvent {
  return { hand, event: bracket.last };
}

function eventsUnder({ hand, bracket }: HandBracket): HandEvent[] {
  return Array.from({ length: bracket.last - bracket.first + 1 }, (_, i) => ({
    hand,
    event: bracket.first + i,
  }));
}

/** They have a note in common. */
function meet(old: HandBracket, now: HandBracket, counterparts: Counterparts): boolean {
  return eventsUnder(old).some((event) => {
    const other = counterparts.ofOld(event);
    return other?.hand === now.hand && other.event >= now.bracket.first && other.event <= now.bracket.last;
  });
}

function told(edition: Edition, bracket: HandBracket): EditionBracket {
  const { hand } = bracket;
  const notes = (event: number): string[] =>
    handOf(edition, hand).line.events[event]!.notes.map(({ note }) => pitchName(note.pitch));
  return {
    first: placeIn(edition, startOf(bracket)),
    last: placeIn(edition, endOf(bracket)),
    firstNotes: notes(bracket.bracket.first),
    lastNotes: notes(bracket.bracket.last),
  };
}

function handOf({ hands }: Edition, name: HandName): WrittenHand {
  return hands.find(({ hand }) => hand === name)!;
}

function placeIn(edition: Edition, { hand, event }: HandEvent): EditionPlace {
  const { note } = handOf(edition, hand).line.events[event]!.notes[0]!;
  return {
    measure: note.measure.index,
    bar: note.measure.number,
    beat: format(add(note.position, rational(1))),
    hand,
    event,
  };
}

function barChanges(
  pairs: readonly BarPair[],
  oldBars: readonly EditionBar[],
  newBars: readonly EditionBar[],
): EditionChange[] {
  const runs: { edition: "old" | "new"; measures: number[]; after: string | undefined }[] = [];
  let [lastOld, lastNew]: (string | undefined)[] = [undefined, undefined];
  let open: (typeof runs)[number] | undefined;
  for (const pair of pairs) {
    const edition = pair.new === undefined ? "old" : pair.old === undefined ? "new" : undefined;
    if (edition === undefined) open = undefined;
    else if (open?.edition === edition) open.measures.push(pair[edition]!);
    else {
      open = { edition, measures: [pair[edition]!], after: edition === "new" ? lastOld : lastNew };
      runs.push(open);
    }
    if (pair.old !== undefined) lastOld = oldBars[pair.old]!.number;
    if (pair.new !== undefined) lastNew = newBars[pair.new]!.number;
  }
  return runs.map((run) => {
    const bars = run.measures.map((measure) => (run.edition === "old" ? oldBars : newBars)[measure]!);
    const notes = bars.reduce((sum, bar) => sum + bar.notes.length, 0);
    return { kind: "bars", ...run, bars: bars.map(({ number }) => number), notes };
  });
}

function renumberedBars(
  pairs: readonly BarPair[],
  oldBars: readonly EditionBar[],
  newBars: readonly EditionBar[],
): { old: string; new: string }[] {
  return pairs.flatMap((pair) => {
    if (pair.old === undefined || pair.new === undefined) return [];
    const numbers = { old: oldBars[pair.old]!.number, new: newBars[pair.new]!.number };
    return numbers.old === numbers.new ? [] : [numbers];
  });
}

/** In order of the bars, within a bar bars first, then notes, hands, fingers and brackets in order of time. */
function inOrder(changes: readonly EditionChange[], pairs: readonly BarPair[]): EditionChange[] {
  const row = {
    old: new Map(pairs.map((pair, i) => [pair.old, i])),
    new: new Map(pairs.map((pair, i) => [pair.new, i])),
  };
  const kinds = ["bars", "notes", "hand", "fingers", "bracket"];
  const keyed = changes.map((change) => {
    if (change.kind === "bars")
      return { change, row: row[change.edition].get(change.measures[0]!)!, beat: "0" };
    const { measure, beat } = newPlaceOf(change);
    return { change, row: row.new.get(measure)!, beat };
  });
  return keyed
    .sort(
      (a, b) =>
        a.row - b.row ||
        compare(beatOf(a.beat), beatOf(b.beat)) ||
        kinds.indexOf(a.change.kind) - kinds.indexOf(b.change.kind),
    )
    .map(({ change }) => change);
}

/** Where a change stands in the new edition. */
export function newPlaceOf(
  change: Exclude<EditionChange, { readonly kind: "bars" }>,
): Omit<EditionPlace, "event"> {
  return change.kind === "bracket" || change.kind === "notes" ? change.at : change.new;
}

/** The bar of the old edition in which a change stands; undefined where only the new one has it. */
export function oldBarOf(
  change: Exclude<EditionChange, { readonly kind: "bars" }>,
): EditionPlace | undefined {
  return change.kind === "bracket" ? change.old?.first : change.old;
}

function beatOf(text: string): { n: number; d: number } {
  const [n, d = "1"] = text.split("/");
  return rational(Number(n), Number(d));
}
