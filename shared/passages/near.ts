import { Aligner, type Alignment, type Column } from "./align.ts";
import { fewestEvents } from "./candidates.ts";
import { Forest } from "./forest.ts";
import type { Links } from "./links.ts";
import { PairSet } from "./pairSet.ts";
import { commonPrefixes, suffixArray } from "./suffixes.ts";
import { firstPlaceBits, placeBits, type Surprise } from "./surprise.ts";
import type { PassageTexts } from "./tokens.ts";

/** Nearly alike places of one line. */
export interface NearReturn {
  /** The first is the model. In order of position. */
  readonly places: readonly NearPlace[];
  readonly surpriseBits: number;
}

/** What was found, and whether the search was cut short. */
export interface NearReturnsFound {
  readonly returns: readonly NearReturn[];
  readonly cut: boolean;
}

/** One of them, as it compares with the model. */
export interface NearPlace {
  readonly first: number;
  readonly last: number;
  readonly steps: number;
  readonly columns: readonly Column[];
}

/** Alignments start from this many events that have the same shapes and steps. */
const seedEvents = 4;
/** Places with the same seed are compared each with each up to this number, then only with the next two. */
const mostPlacesOfASeed = 12;
/** Pairs of events that alignments may hold, for each event of the score. Music stays below five. */
const mostPairsPerEvent = 16;
/** As for returns, and more: there are many ways to be nearly alike. */
const leastNearBits = 6;
/** One difference in so many events. */
const eventsPerChange = 6;
/** Two places are the same one when they share this part of the events of both. */
const sameOverlap = 0.7;

/**
 * Stretches of one hand that come back with small differences: an event in six changed, added or left out, another
 * rhythm. Those that say no more than the returns already known by `links` are left out.
 *
 * Time O(n log n) for the sorting and at most `mostPairsPerEvent` × n for the rest; near places are compared first.
 * Source for the extension from seeds and for giving up: Altschul, Gish, Miller, Myers, Lipman, "Basic local
 * alignment search tool", 1990; for the edit distance of tunes: Mongeau and Sankoff, 1990, from memory.
 */
export function findNearReturns(texts: PassageTexts, surprise: Surprise, links: Links): NearReturnsFound {
  const aligner = new Aligner(texts, surprise);
  const pairs: Alignment[] = [];
  const seen = new PairSet();
  const { seeds, seedOf } = seedsOf(texts);
  let cut = false;
  for (const { a, b } of seeds) {
    cut = seen.size > mostPairsPerEvent * texts.size;
    if (cut) break;
    if (seen.has(a, b)) continue;
    const pair = aligner.align(a, b, seedEvents);
    for (const column of pair.columns) {
      if (column.a !== undefined && column.b !== undefined) seen.add(column.a, column.b);
    }
    if (isNear(pair) && saysMore(pair, links) && bitsOf(texts, pair) >= leastNearBits) pairs.push(pair);
  }
  pairs.sort((x, y) => y.bits - x.bits || x.a.first - y.a.first || x.b.first - y.b.first);
  return { returns: gather({ texts, aligner, seedOf }, pairs), cut };
}

/** Where alignments start from. */
interface Seeds {
  /** Pairs of positions of one line with the same seed, nearest first. */
  readonly seeds: readonly { readonly a: number; readonly b: number }[];
  /** By position; alike where the same seed begins. */
  readonly seedOf: Int32Array;
}

function seedsOf(texts: PassageTexts): Seeds {
  const order = suffixArray(texts.steps);
  const common = commonPrefixes(texts.steps, order);
  const found: { a: number; b: number }[] = [];
  const all = new PairSet();
  const seedOf = new Int32Array(texts.size);
  for (let from = 0; from < order.length; ) {
    let to = from + 1;
    while (to < order.length && common[to]! >= seedEvents - 1) to += 1;
    const places = order.slice(from, to).sort();
    const reach = places.length > mostPlacesOfASeed ? 2 : places.length;
    places.forEach((a, i) => {
      seedOf[a] = from;
      for (let j = i + 1; j < places.length && j <= i + reach; j += 1) {
        const b = places[j]!;
        if (b < a + seedEvents || texts.lineOf[a] !== texts.lineOf[b]) continue;
        found.push({ a, b });
        all.add(a, b);
      }
    });
    from = to;
  }
  // A seed whose first step has another rhythm would make a poor edge: one further on is better, if there is one.
  const good = found.filter(({ a, b }) => texts.wait[a] === texts.wait[b] || !all.has(a + 1, b + 1));
  return { seeds: good.sort((x, y) => x.b - x.a - (y.b - y.a) || x.a - y.a), seedOf };
}

function isNear({ columns }: Alignment): boolean {
  let alike = 0;
  let rhythms = 0;
  for (const { same, rhythm } of columns) {
    if (same) alike += 1;
    if (rhythm) rhythms += 1;
  }
  const changes = columns.length - alike;
  return changes + rhythms > 0 && alike > fewestEvents && changes * eventsPerChange <= alike + 1;
}

/** True when the alignment holds so much more than any stretch of it that is known to come back as it is. */
function saysMore({ columns }: Alignment, links: Links): boolean {
  let longest = 0;
  let stretch = 0;
  let alike = 0;
  for (const column of columns) {
    if (column.same) alike += 1;
    const known = column.same && !column.rhythm && links.linked(column.a!, column.b!);
    stretch = known ? stretch + 1 : 0;
    longest = Math.max(longest, stretch);
  }
  return alike - longest >= Math.min(fewestEvents, Math.max(2, alike / 5));
}

function bitsOf(texts: PassageTexts, { a, b, bits }: Alignment): number {
  const place = placeBits(texts, b.first, { beat: texts.beat[a.first]!, after: a.last });
  return bits - place - firstPlaceBits(texts, a.first);
}

/** What places are compared with. */
interface Comparing {
  readonly texts: PassageTexts;
  readonly aligner: Aligner;
  readonly seedOf: Int32Array;
}

interface Place {
  readonly first: number;
  readonly last: number;
}

/** Brings pairs that share a place together. The pairs that tell most come first, so that they name the places. */
function gather(by: Comparing, pairs: readonly Alignment[]): NearReturn[] {
  const said = new Forest(by.texts.size);
  const places: Place[] = [];
  const placesAt = new Map<number, number[]>();
  const together = new Forest(2 * pairs.length);
  const placeOf = (range: Place): number => {
    const middle = (range.first + range.last) >> 1;
    const known = (placesAt.get(middle) ?? []).find((index) => samePlace(places[index]!, range));
    if (known !== undefined) return known;
    places.push(range);
    for (let i = range.first; i <= range.last; i += 1) {
      const here = placesAt.get(i);
      if (here) here.push(places.length - 1);
      else placesAt.set(i, [places.length - 1]);
    }
    return places.length - 1;
  };
  for (const pair of pairs) {
    let alike = 0;
    let fresh = 0;
    for (const { same, a, b } of pair.columns) {
      if (!same) continue;
      alike += 1;
      if (!said.together(a!, b!)) fresh += 1;
    }
    if (fresh < alike / 2) continue;
    for (const { same, a, b } of pair.columns) if (same) said.join(a!, b!);
    together.join(placeOf(pair.a), placeOf(pair.b));
  }
  const groups = new Map<number, Place[]>();
  places.forEach((place, index) => {
    const group = groups.get(together.nameOf(index));
    if (group) group.push(place);
    else groups.set(together.nameOf(index), [place]);
  });
  return [...groups.values()].flatMap((group) => nearReturn(by, group) ?? []);
}

/** Compares every place with the first one. Undefined when nothing but equal places is left. */
function nearReturn(by: Comparing, group: readonly Place[]): NearReturn | undefined {
  const [model, ...others] = [...group].sort((x, y) => x.first - y.first || y.last - x.last);
  const places: NearPlace[] = [{ ...model!, steps: 0, columns: equalColumns(model!) }];
  let surpriseBits = 0;
  for (const other of others) {
    const pair = alignWith(by, model!, other);
    if (!pair || pair.b.first <= places[places.length - 1]!.last) continue;
    places.push({ ...pair.b, steps: pair.steps, columns: pair.columns });
    surpriseBits += bitsOf(by.texts, pair);
  }
  const differs = places.some(({ columns }) => columns.some((column) => !column.same || column.rhythm));
  return differs ? { places, surpriseBits } : undefined;
}

function equalColumns({ first, last }: Place): Column[] {
  return Array.from({ length: last - first + 1 }, (_, k) => ({
    a: first + k,
    b: first + k,
    same: true,
    rhythm: false,
    bits: 0,
  }));
}

/** Aligns a place with the model where they agree most; undefined when that is not nearly the whole model. */
function alignWith(by: Comparing, model: Place, other: Place): Alignment | undefined {
  const anchor = bestAnchor(by, model, other);
  if (!anchor) return undefined;
  const whole = by.aligner.align(anchor.a, anchor.b, seedEvents);
  const columns = trimmed(whole.columns, model);
  if (columns.length === 0) return undefined;
  const alike = columns.filter((column) => column.same).length;
  const changes = columns.length - alike;
  if (changes * eventsPerChange > alike + 1 || alike < sameOverlap * (model.last - model.first + 1)) {
    return undefined;
  }
  const b = { first: columns[0]!.b!, last: columns[columns.length - 1]!.b! };
  const a = { first: columns[0]!.a!, last: columns[columns.length - 1]!.a! };
  const bits = columns.reduce((sum, column) => sum + column.bits, 0);
  return {
    a,
    b,
    steps: whole.steps,
    bits,
    columns: columns.map((column, i) => (i > 0 ? column : { ...column, rhythm: false })),
  };
}

/** The columns inside the model, from the first event that is the same to the last. */
function trimmed(columns: readonly Column[], { first, last }: Place): Column[] {
  const inside = (column: Column): boolean =>
    column.same && column.a !== undefined && column.a >= first && column.a <= last;
  return columns.slice(columns.findIndex(inside), columns.findLastIndex(inside) + 1);
}

/** Of the pairs with the same seed, the first one at the commonest distance. */
function bestAnchor(
  { texts, seedOf }: Comparing,
  model: Place,
  other: Place,
): { a: number; b: number } | undefined {
  const inModel = new Map<number, number[]>();
  for (let a = model.first; a + seedEvents - 1 <= model.last; a += 1) {
    const known = inModel.get(seedOf[a]!);
    if (known) known.push(a);
    else inModel.set(seedOf[a]!, [a]);
  }
  const votes = new Map<number, { a: number; b: number; count: number }>();
  for (let b = other.first; b + seedEvents - 1 <= other.last; b += 1) {
    for (const a of inModel.get(seedOf[b]!) ?? []) {
      if (b < a + seedEvents) continue;
      const steps = texts.lowest[b]! - texts.lowest[a]!;
      const distance = steps * texts.size + b - a;
      const vote = votes.get(distance);
      if (vote) vote.count += 1;
      else votes.set(distance, { a, b, count: 1 });
    }
  }
  return [...votes.values()].sort((x, y) => y.count - x.count || x.a - y.a)[0];
}

function samePlace(x: Place, y: Place): boolean {
  const shared = Math.min(x.last, y.last) - Math.max(x.first, y.first) + 1;
  const longer = Math.max(x.last - x.first, y.last - y.first) + 1;
  return shared >= sameOverlap * longer;
}
