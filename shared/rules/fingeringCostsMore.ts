import type { Placing, Solution, TermName } from "../fingering/model.ts";
import type { WrittenHand } from "../fingering/written.ts";
import { RecentAnswers } from "../text/recentAnswers.ts";
import { defineRule, type RuleInput } from "./define.ts";
import { anewEdits, fingeredNotes, freeStretch, type Stretch, solvedAnew } from "./support/anew.ts";
import { isEasierForBoth } from "./support/bothHands.ts";
import { eventName, inWords, placeOfNote } from "./support/places.ts";
import { keptWithPrint, printText } from "./support/printMemory.ts";
import { fingeredAlike } from "./support/returns.ts";
import {
  allOutside,
  allPrinted,
  costs,
  type EventRange,
  solveAround,
  withSurroundings,
} from "./support/solveAround.ts";
import { isOutOfTime } from "./support/timing.ts";

const anew = { title: "Finger these notes the easiest way", safety: "ask" } as const;

/** More than this, in thousandths, is not a matter of taste. Common practice, no source. */
const muchMilli = 1500;

export const fingeringCostsMore = defineRule({
  id: "fingering-costs-more",
  severity: "info",
  summary: "A stretch is fingered in a way that is clearly harder than the easiest one.",
  why: "By the chosen hand profile another way has fewer crossings, changes of place or stretches. There may be a reason that no table of costs knows: then the fingering is right as it is.",
  bad: "C4/2:4+F4:3+A4:1",
  good: "C4/2:3+F4:2+A4:1",
  fixes: [anew],
  general: true,
  check(input, report) {
    const found = input.hands.flatMap((hand) => harderStretches(input, hand));
    const told = new Set<HarderStretch>();
    for (const harder of found) {
      if (told.has(harder)) continue;
      const { hand, changed, digits, terms } = harder;
      const alike = returnsOf(input, harder, found);
      // Where it comes again in the same way and is right there, it is kept for that.
      if (!alike) continue;
      for (const other of alike) told.add(other);
      const all = [harder, ...alike];
      report({
        span: placeOfNote(hand.line.events[changed.first]!.notes[0]!),
        message: `${wordsFor(hand, changed)} ${digits} is clearly easier: it has ${lessOf(terms)}.`,
        at: { hand, event: changed.first },
        over: changed,
        related: alike.map((other) => ({
          span: placeOfNote(other.hand.line.events[other.changed.first]!.notes[0]!),
          message: "It comes again here, fingered alike.",
        })),
        // One way for all of them, or places that are alike now would differ.
        fixes: all.every((other) => other.digits === digits)
          ? [
              {
                ...anew,
                edits: () =>
                  all.flatMap((other) => anewEdits(input, other.hand, other.solution, other.stretch)),
              },
            ]
          : [],
      });
    }
  },
});

interface HarderStretch {
  readonly hand: WrittenHand;
  /** From the first note that would have another finger to the last. */
  readonly changed: EventRange;
  /** All events with a note that would. */
  readonly events: readonly number[];
  readonly stretch: Stretch;
  /** The easiest way. */
  readonly solution: Solution;
  readonly digits: string;
  readonly terms: ReadonlyMap<TermName, number>;
}

function harderStretches(input: RuleInput, hand: WrittenHand): HarderStretch[] {
  const harder: HarderStretch[] = [];
  for (const piece of piecesOf(hand)) {
    for (const { first, last, terms } of dearStretches(input, hand, piece)) {
      const stretch = freeStretch(input, hand, { first, last });
      const solution = solvedAnew(input, hand, stretch);
      if (costs(solution, stretch, ["lock", "tooWide", "tooMany", "tooFast"])) continue;
      const events = fingeredNotes(hand, stretch)
        .filter(
          ({ event, stringAt }) => solution.fingers[event]![stringAt] !== hand.fingers[event]![stringAt],
        )
        .map(({ event }) => event);
      if (events.length === 0 || !isEasierForBoth(input, hand, stretch, solution, muchMilli)) continue;
      const changed = { first: events[0]!, last: events[events.length - 1]! };
      harder.push({ hand, changed, events, stretch, solution, digits: digitsOf(solution, changed), terms });
    }
  }
  return harder;
}

/** The stretches that are the same passage, fingered alike; undefined when some place of it is none. */
function returnsOf(
  input: RuleInput,
  { hand, events }: HarderStretch,
  found: readonly HarderStretch[],
): HarderStretch[] | undefined {
  const alike = new Set<HarderStretch>();
  for (const event of events) {
    for (const place of fingeredAlike(input, hand, event)) {
      const other = found.find((each) => each.hand === place.hand && each.events.includes(place.event));
      if (!other) return undefined;
      alike.add(other);
    }
  }
  return [...alike];
}

/** A search sees so many events at a time at most, so that after an edit only those around it are searched again. */
const mostEvents = 48;
/** Bars that begin a new piece wherever they stand, so that what is added elsewhere moves no piece's ends. */
const barsTogether = 4;

/** Stretches in which every note has a finger and is plucked in an ordinary way. */
function piecesOf(hand: WrittenHand): EventRange[] {
  const pieces: EventRange[] = [];
  let first: number | undefined;
  const end = (after: number): void => {
    if (first !== undefined && after > first) pieces.push({ first, last: after - 1 });
    first = undefined;
  };
  hand.line.events.forEach((event, i) => {
    const isWhole =
      event.notes.length <= 4 &&
      hand.fingers[i]!.every((finger) => finger !== undefined) &&
      !isOutOfTime(hand, i);
    const { index } = event.notes[0]!.note.measure;
    const before = hand.line.events[i - 1]?.notes[0]?.note.measure.index;
    const startsBars = before !== index && index % barsTogether === 0;
    if (!isWhole || event.cutBefore || startsBars || (first !== undefined && i - first >= mostEvents)) end(i);
    if (isWhole) first ??= i;
  });
  end(hand.line.events.length);
  return pieces;
}

interface DearStretch extends EventRange {
  /** What it costs more than the easiest way, by term. */
  readonly terms: ReadonlyMap<TermName, number>;
}

/** So many pieces are remembered at least. */
const fewestPieces = 1000;
/** With numbers of events from the beginning of the piece's surroundings. */
const stretchesByPrint = keptWithPrint(() => new RecentAnswers<readonly DearStretch[]>(fewestPieces));

/** Where the printed fingering and the cheapest one part and meet again, with what the printed one costs more there. */
function dearStretches(input: RuleInput, hand: WrittenHand, piece: EventRange): DearStretch[] {
  const { first: from, last: to } = withSurroundings(hand, piece);
  const print = `${piece.first - from} ${piece.last - from} ${printText(input, hand, from, to)}`;
  return stretchesByPrint(input)
    .get(print, 1, () => findDearStretches(input, hand, piece).map((found) => movedBy(-from, found)))
    .map((found) => movedBy(from, found));
}

function movedBy(events: number, { first, last, terms }: DearStretch): DearStretch {
  return { first: first + events, last: last + events, terms };
}

function findDearStretches(input: RuleInput, hand: WrittenHand, piece: EventRange): DearStretch[] {
  const printed = solveAround(input, hand, piece, allPrinted);
  // Whatever the way, it takes a placing: what is hardly dearer than that needs no second search.
  if (costWithin(printed.placings, piece) <= muchMilli + input.weights.base) return [];
  const free = solveAround(input, hand, piece, allOutside(piece));
  if (printed.totalMilli - free.totalMilli <= muchMilli) return [];
  const stretches: DearStretch[] = [];
  for (const { a, b } of partings(printed.placings, free.placings)) {
    const terms = differenceOf(a, b);
    const more = [...terms.values()].reduce((sum, milli) => sum + milli, 0);
    const first = Math.min(a[0]!.first, b[0]?.first ?? a[0]!.first);
    const last = Math.max(...[...a, ...b].map((placing) => placing.last));
    // What cannot be kept at all is no fingering, and told of by others.
    if (more <= muchMilli || terms.get("lock")) continue;
    if (first >= piece.first && last <= piece.last) stretches.push({ first, last, terms });
  }
  return stretches;
}

/** What the placings that reach into a piece cost, with the joints to and from them. */
function costWithin(placings: readonly Placing[], { first, last }: EventRange): number {
  const sum = (terms: Placing["jointTerms"]): number => terms.reduce((total, { milli }) => total + milli, 0);
  let cost = 0;
  placings.forEach((placing, i) => {
    if (placing.last < first || placing.first > last) return;
    const next = placings[i + 1];
    cost += sum(placing.placingTerms) + sum(placing.jointTerms);
    if (next && next.first > last) cost += sum(next.jointTerms);
  });
  return cost;
}

interface Parting {
  readonly a: readonly Placing[];
  readonly b: readonly Placing[];
}

/** Runs of placings between those that both chains have; the joint to the next common one counts with the run. */
function partings(a: readonly Placing[], b: readonly Placing[]): Parting[] {
  const found: Parting[] = [];
  let [i, j] = [0, 0];
  let run: { a: Placing[]; b: Placing[] } | undefined;
  while (i < a.length || j < b.length) {
    const [x, y] = [a[i], b[j]];
    if (x && y && isSame(x, y)) {
      if (run) {
        run.a.push(jointOnly(x));
        run.b.push(jointOnly(y));
        found.push(run);
        run = undefined;
      }
      i += 1;
      j += 1;
    } else {
      run ??= { a: [], b: [] };
      if (x && (!y || x.first <= y.first)) {
        run.a.push(x);
        i += 1;
      } else {
        run.b.push(y!);
        j += 1;
      }
    }
  }
  if (run) found.push(run);
  return found.filter((parting) => parting.a.length > 0);
}

function isSame(a: Placing, b: Placing): boolean {
  return (
    a.first === b.first &&
    a.last === b.last &&
    a.fingers.every((row, k) => row.every((finger, j) => finger === b.fingers[k]![j]))
  );
}

function jointOnly(placing: Placing): Placing {
  return { ...placing, last: placing.first, placingTerms: [] };
}

function differenceOf(a: readonly Placing[], b: readonly Placing[]): Map<TermName, number> {
  const terms = new Map<TermName, number>();
  const add = (placings: readonly Placing[], sign: number): void => {
    for (const { placingTerms, jointTerms } of placings) {
      for (const { name, milli } of [...placingTerms, ...jointTerms]) {
        terms.set(name, (terms.get(name) ?? 0) + sign * milli);
      }
    }
  };
  add(a, 1);
  add(b, -1);
  return terms;
}

/** In plain words, what the easier way has less of. */
const words: Partial<Record<TermName, string>> = {
  base: "fewer placings",
  stretch: "smaller stretches",
  outer: "smaller stretches",
  cramped: "more room for the fingers",
  thumb: "the thumb on top",
  weakFinger: "less use of 4",
  single: "better fingers for single notes",
  slide: "fewer slides",
  waiting: "less holding of strings",
  separate: "less coming off in haste",
  leap: "less coming off in haste",
  sameString: "less haste on one string",
  cross: "fewer or easier crossings",
  skip: "fewer or easier crossings",
  turn: "the thumb at the turn",
  tooWide: "smaller stretches",
  tooFast: "less coming off in haste",
};

const mostReasons = 2;

function lessOf(terms: ReadonlyMap<TermName, number>): string {
  const reasons = [...terms].filter(([, milli]) => milli > 0).sort((a, b) => b[1] - a[1]);
  const said = new Set(reasons.flatMap(([name]) => words[name] ?? []));
  return inWords([...said].slice(0, mostReasons)) || "less to do";
}

const mostDigits = 12;

function wordsFor(hand: WrittenHand, { first, last }: EventRange): string {
  if (first === last) return `${eventName(hand, first)} with`;
  return `From ${eventName(hand, first)} to ${eventName(hand, last)},`;
}

function digitsOf({ fingers }: Solution, { first, last }: EventRange): string {
  const rows = fingers.slice(first, Math.min(last, first + mostDigits - 1) + 1);
  const digits = rows.map((row) => row.join("-")).join(" ");
  return last - first >= mostDigits ? `${digits} and so on` : digits;
}
