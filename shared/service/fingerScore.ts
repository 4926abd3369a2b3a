import { type HandName, sumTerms, type TermName } from "../fingering/model.ts";
import { refinger } from "../fingering/refinger.ts";
import { solve } from "../fingering/solve.ts";
import { type FingeredHand, writeFingering } from "../fingering/write.ts";
import { type Keep, keepAll, keepOutside, searchLine, type WrittenHand } from "../fingering/written.ts";
import { applyEdits, type Edit } from "../text/edits.ts";
import { InputError } from "../text/problem.ts";
import type { Analysis } from "./analyse.ts";

/** What to finger, and what to keep of the print. */
export interface FingerOptions {
  /** `keep` completes what is printed; `fresh` ignores it. */
  readonly mode: "keep" | "fresh";
  readonly hand?: HandName | "both";
  /** First and last bar as printed, inclusive. */
  readonly bars?: { readonly first: string; readonly last: string };
  /** Only these events; a hand that is not named is left alone. */
  readonly ranges?: ReadonlyMap<HandName, EventRange>;
}

/** Events of one hand, both ends included. */
export interface EventRange {
  readonly first: number;
  readonly last: number;
}

/** A fingering of a score, and what it takes to write it. */
export interface ScoreFingering {
  readonly hands: readonly FingeredHand[];
  readonly totalMilli: number;
  readonly terms: ReadonlyMap<TermName, number>;
  readonly edits: readonly Edit[];
}

/**
 * Fingers the harp of a score.
 * @throws InputError when the score has no harp part or no such bars.
 */
export function fingerScore(analysis: Analysis, options: FingerOptions): ScoreFingering {
  if (!analysis.harp) throw new InputError(analysis.problems[0]?.message ?? "The score could not be read.");
  const chosen = analysis.hands.filter(({ hand }) => wants(options, hand));
  const hands: FingeredHand[] = [];
  for (const written of chosen) {
    const range = chosenRange(written, options);
    if (!range) continue;
    const keep: Keep = options.mode === "keep" ? keepAll : keepOutside(range);
    const whole = range.first === 0 && range.last === written.line.events.length - 1;
    const solution =
      options.mode === "fresh" && whole
        ? solve(searchLine(written.line), analysis.weights)
        : refinger(written, analysis.weights, keep);
    hands.push({ written, solution, range });
  }
  if (options.bars && hands.length === 0) {
    throw new InputError(`No notes were found in bars ${options.bars.first} to ${options.bars.last}.`);
  }
  const placings = hands.flatMap((hand) => hand.solution.placings);
  return {
    hands,
    totalMilli: hands.reduce((sum, hand) => sum + hand.solution.totalMilli, 0),
    terms: sumTerms(placings),
    edits: writeFingering(analysis, hands, { replace: options.mode === "fresh" }),
  };
}

/** The text with the fingering written into it. */
export function fingeredText(analysis: Analysis, fingering: ScoreFingering): string {
  return applyEdits(analysis.text, fingering.edits);
}

function wants(options: FingerOptions, hand: HandName): boolean {
  return options.hand === undefined || options.hand === "both" || options.hand === hand;
}

function chosenRange(written: WrittenHand, options: FingerOptions): EventRange | undefined {
  if (options.ranges) return options.ranges.get(written.hand);
  if (options.bars) return barRange(written, options.bars);
  return { first: 0, last: written.line.events.length - 1 };
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
