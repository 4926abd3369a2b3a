import {
  type Candidate,
  CandidateSearch,
  fewestEvents,
  type Likeness,
  leastSurpriseBits,
  type Return,
} from "./candidates.ts";
import type { Links } from "./links.ts";
import { findRuns, type Run } from "./runs.ts";
import { commonPrefixes, maximalRepeats, type Repeat, suffixArray } from "./suffixes.ts";
import type { Surprise } from "./surprise.ts";
import type { PassageTexts } from "./tokens.ts";

/** Repeats with more places than this that are figures in a row are left to the figure itself. */
const mostPlacesOfAFigure = 32;
/** Places looked at in all, for each event of the score. Music stays far below it. */
const mostPlacesPerEvent = 64;

/** What was found, and whether the search was cut short. */
export interface ReturnsFound {
  readonly returns: readonly Return[];
  readonly cut: boolean;
}

/**
 * The stretches that come back, each with all its places; ostinati first. A stretch that only says again what those
 * before it say is left out; `links` learns every pair of events that stand for each other.
 *
 * Time O(n log n) for the sorting and at most `mostPlacesPerEvent` × n for the rest.
 */
export function findReturns(
  texts: PassageTexts,
  surprise: Surprise,
  likeness: Likeness,
  links: Links,
): ReturnsFound {
  const text = likeness === "exact" ? texts.exact : texts.shape;
  const order = suffixArray(text);
  const common = commonPrefixes(text, order);
  const search = new CandidateSearch(texts, surprise, likeness, order, common);
  const runs = findRuns(text, 3);
  const inRuns = runsByPosition(runs, texts.size);

  const repeats = maximalRepeats(text, order, common)
    .filter((repeat) => search.worth(repeat) >= leastSurpriseBits)
    .sort((a, b) => search.worth(b) - search.worth(a) || a.from - b.from);
  let places = mostPlacesPerEvent * texts.size;
  let cut = false;
  const toCandidate = (repeat: Repeat): Candidate[] => {
    const size = repeat.to - repeat.from + 1;
    if (size > mostPlacesOfAFigure && isRowOfFigures(inRuns, order[repeat.from]!, repeat.length)) return [];
    places -= size;
    cut ||= places < 0;
    const found = cut ? undefined : search.candidate(repeat);
    return found ? [found] : [];
  };
  const figures = search.figures(runs).flatMap(toCandidate);
  const candidates = repeats.flatMap(toCandidate);
  // The longest return of the same music says most; of figures on other strings, the one that explains most does.
  if (likeness === "exact") candidates.sort((a, b) => b.length - a.length || a.starts[0]! - b.starts[0]!);
  else candidates.sort((a, b) => b.surpriseBits - a.surpriseBits || a.starts[0]! - b.starts[0]!);

  const returns: Return[] = [];
  for (const candidate of [...figures, ...candidates]) {
    if (newsOf(candidate, links) < leastSurpriseBits) continue;
    if (likeness === "exact") links.linkSame(candidate.starts, candidate.length);
    else links.linkShape(candidate.starts, candidate.length);
    returns.push(candidate);
  }
  return { returns, cut };
}

/** The runs that hold each position. */
function runsByPosition(runs: readonly Run[], size: number): readonly (readonly Run[] | undefined)[] {
  const inRuns: Run[][] = new Array(size);
  for (const run of runs) {
    for (let i = run.start; i < run.end; i += 1) {
      if (inRuns[i]) inRuns[i]!.push(run);
      else inRuns[i] = [run];
    }
  }
  return inRuns;
}

/** True when the stretch is a figure three times in a row or more. */
function isRowOfFigures(
  inRuns: readonly (readonly Run[] | undefined)[],
  start: number,
  length: number,
): boolean {
  return (inRuns[start] ?? []).some((run) => 3 * run.period <= length + 1 && start + length <= run.end);
}

/** Events that are compared to see whether two stretches are known to stand for each other. */
const mostSamples = 16;
/** Groups that are told apart; more than that is much news anyway. */
const mostGroups = 8;

/**
 * What a candidate tells that is not known yet, in bits: places that are known to stand for each other count as one,
 * and a stretch that is known to come back needs no introduction.
 */
function newsOf({ starts, length, gains, firstBits }: Candidate, links: Links): number {
  const [first, ...others] = knownGroups(links, starts, length);
  if (others.length === 0) return 0;
  const introduced = [first!, ...others].some((group) => group.length > 1);
  return others.reduce(
    (sum, group) => sum + Math.max(...group.map((i) => gains[i]!)),
    introduced ? 0 : -firstBits,
  );
}

/** Sorts places into groups that are known to stand for each other. Gives their numbers in `starts`. */
function knownGroups(links: Links, starts: readonly number[], length: number): number[][] {
  const groups: number[][] = [];
  starts.forEach((start, i) => {
    const group = groups.slice(0, mostGroups).find(([first]) => known(links, starts[first!]!, start, length));
    if (group) group.push(i);
    else groups.push([i]);
  });
  return groups;
}

function known(links: Links, a: number, b: number, length: number): boolean {
  const samples = Math.min(length, mostSamples);
  let fresh = 0;
  for (let s = 0; s < samples; s += 1) {
    const k = Math.floor(((s + 0.5) * length) / samples);
    if (!links.linked(a + k, b + k)) fresh += 1;
  }
  return length > mostSamples ? fresh === 0 : fresh < Math.min(fewestEvents, length / 2);
}
