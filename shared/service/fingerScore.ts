import { fingerHands } from "../fingering/fingerHands.ts";
import { type HandName, sumTerms, type TermName } from "../fingering/model.ts";
import type { Tie } from "../fingering/tied.ts";
import { type FingeredHand, writeFingering } from "../fingering/write.ts";
import {
  keepAll,
  keepAllWithin,
  keepOutside,
  type WrittenHand,
  withWholePlacings,
} from "../fingering/written.ts";
import { guardedText } from "../musicxml/guard.ts";
import { tiesOf } from "../passages/ties.ts";
import type { Edit } from "../text/edits.ts";
import { InputError } from "../text/problem.ts";
import type { Analysis } from "./analyse.ts";
import { passagesOf } from "./passagesOf.ts";

/** What to finger, and what to keep of the print. */
export interface FingerOptions {
  /** `keep` completes what is printed; `fresh` ignores it. */
  readonly mode: "keep" | "fresh";
  readonly hand?: HandName | "both";
  /** First and last bar as printed, inclusive. */
  readonly bars?: { readonly first: string; readonly last: string };
  /** Only these events; a hand that is not named is left alone. */
  readonly ranges?: ReadonlyMap<HandName, EventRange>;
  /** False fingers each place of a passage by itself. Passages that come back are fingered alike without it. */
  readonly alike?: boolean;
}

/** Events of one hand, both ends included. */
export interface EventRange {
  readonly first: number;
  readonly last: number;
}

/** A fingering of a score, and what it takes to write it. */
export interface ScoreFingering {
  readonly hands: readonly FingeredHand[];
  /** Of both hands as searched. */
  readonly totalMilli: number;
  /** What fingering passages alike costs, at most: the total less what the best fingering without that costs. */
  readonly gapMilli: number;
  readonly terms: ReadonlyMap<TermName, number>;
  readonly edits: readonly Edit[];
}

/**
 * Fingers the harp of a score.
 * @throws InputError when the score has no harp part or no such bars.
 */
export function fingerScore(analysis: Analysis, options: FingerOptions): ScoreFingering {
  if (!analysis.harp) throw new InputError(analysis.problems[0]?.message ?? "The score could not be read.");
  const ranges = new Map(analysis.hands.map((hand) => [hand, wantedRange(hand, options)]));
  // The other hand is searched with it, kept as it is printed, because what it needs the eyes for counts.
  const ties = options.alike === false ? [] : tiesWithin(analysis, ranges);
  const { solutions, totalMilli, gapMilli } = fingerHands(
    analysis.hands,
    analysis.weights,
    (hand) => {
      const range = ranges.get(hand);
      if (!range) return keepAll;
      return options.mode === "keep" ? keepAllWithin(range) : keepOutside(range);
    },
    ties,
    analysis.memory.solutions,
  );
  const hands: FingeredHand[] = [];
  analysis.hands.forEach((written, i) => {
    const range = ranges.get(written);
    if (range) hands.push({ written, solution: solutions[i]!, range });
  });
  if (options.bars && hands.length === 0) {
    throw new InputError(`No notes were found in bars ${options.bars.first} to ${options.bars.last}.`);
  }
  const placings = hands.flatMap((hand) => hand.solution.placings);
  return {
    hands,
    totalMilli,
    gapMilli,
    terms: sumTerms(placings),
    edits: writeFingering(analysis, hands, {
      replace: options.mode === "fresh",
      amount: analysis.settings.print?.fingers,
    }),
  };
}

/** The passages that have a place among the events to finger. */
function tiesWithin(
  analysis: Analysis,
  ranges: ReadonlyMap<WrittenHand, EventRange | undefined>,
): readonly Tie[] {
  const within = ({ hand, first, last }: Tie["occurrences"][number]): boolean => {
    const range = ranges.get(analysis.hands.find((written) => written.hand === hand)!);
    return range !== undefined && first <= range.last && last >= range.first;
  };
  const lines = analysis.hands.map((hand) => hand.line);
  return tiesOf(passagesOf(analysis).classes, lines).filter((tie) => tie.occurrences.some(within));
}

/**
 * The text with the fingering written into it.
 * @throws GuardError when anything but fingering and brackets would change.
 */
export function fingeredText(analysis: Analysis, fingering: ScoreFingering): string {
  return guardedText(analysis.text, fingering.edits);
}

/** The events of a hand that are to be fingered, with whole printed placings where they are fingered anew. */
function wantedRange(written: WrittenHand, options: FingerOptions): EventRange | undefined {
  const { hand } = options;
  if (hand !== undefined && hand !== "both" && hand !== written.hand) return undefined;
  const whole = { first: 0, last: written.line.events.length - 1 };
  const asked = options.ranges
    ? options.ranges.get(written.hand)
    : options.bars && barRange(written, options.bars);
  const range = options.ranges || options.bars ? asked : whole;
  return range && options.mode === "fresh" ? withWholePlacings(written, range) : range;
}

/** The events of a hand that lie in these bars. A bar number that comes twice means its first place. */
export function barRange(
  written: WrittenHand,
  bars: { readonly first: string; readonly last: string },
): EventRange | undefined {
  const measures = written.line.events[0]?.part.measures ?? [];
  const from = measures.find((measure) => measure.number === bars.first)?.index;
  const to = measures.findLast((measure) => measure.number === bars.last)?.index;
  if (from === undefined || to === undefined) return undefined;
  const inside = (event: number): boolean => {
    const index = written.line.events[event]!.notes[0]!.note.measure.index;
    return index >= from && index <= to;
  };
  const events = written.line.events.map((_, i) => i).filter(inside);
  return events.length > 0 ? { first: events[0]!, last: events[events.length - 1]! } : undefined;
}
