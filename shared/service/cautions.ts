import { type Comfort, comfortFor } from "../fingering/comfort.ts";
import type { FingeringLine, Placing, Solution, TermName } from "../fingering/model.ts";
import type { FingeredHand } from "../fingering/write.ts";
import { searchLine } from "../fingering/written.ts";
import { intervalName } from "../score/pitch.ts";
import { barList } from "./places.ts";
import { counted, termWords } from "./words.ts";

/** Said wherever reaches or speeds are proposed. */
export const stopOnPain = "Stop on pain; a teacher's or clinician's word goes first.";

/**
 * Where a fingering asks for more than is comfortable, and where for more than can be done, in sentences; empty when
 * it never does. Only placings that reach into the range are looked at.
 *
 * @param comfort what is comfortable for the player; without it, for a medium hand at the usual spacing.
 */
export function cautions(
  { written, solution, range }: FingeredHand,
  comfort: Comfort = comfortFor({}),
): string[] {
  const line = searchLine(written.line);
  const inRange = ({ first, last }: Placing): boolean =>
    !range || (last >= range.first && first <= range.last);
  const wide = solution.placings.filter(
    (placing) => inRange(placing) && widthBeyond(line, placing, comfort) > 0,
  );
  const quick = solution.placings.filter(
    (placing, i) => inRange(placing) && isQuick(line, solution, i, comfort),
  );
  const bars = (placings: readonly Placing[]): string =>
    `${barList(
      written,
      placings.map(({ first }) => first),
    )}, ${written.hand} hand`;
  const sentences: string[] = [];
  for (const name of ["tooMany", "tooWide", "tooFast"] as const) {
    const beyond = solution.placings.filter((placing) => inRange(placing) && hasTerm(placing, name));
    if (beyond.length > 0) {
      sentences.push(
        `Beyond the chosen hand profile (${bars(beyond)}): ${termWords[name]}. The rest is fingered around it.`,
      );
    }
  }
  if (wide.length > 0) {
    const widest = wide.reduce((a, b) => (span(line, b) > span(line, a) ? b : a));
    sentences.push(
      `Wide for the chosen hand profile (${bars(wide)}): ${counted(wide.length, "placing")}, the widest ${withArticle(intervalName(span(line, widest)))}. Consider rolling or sharing between the hands.`,
    );
  }
  if (quick.length > 0) {
    sentences.push(
      `Quick for the chosen hand profile (${bars(quick)}): ${counted(quick.length, "change")} of position in less time than is comfortable. Consider a slower tempo or other fingers.`,
    );
  }
  return sentences;
}

function hasTerm(placing: Placing, name: TermName): boolean {
  return [...placing.placingTerms, ...placing.jointTerms].some((term) => term.name === name);
}

interface PlacedString {
  readonly string: number;
  readonly finger: number;
}

function outermost(
  line: FingeringLine,
  placing: Placing,
): { low: PlacedString; high: PlacedString } | undefined {
  const placed = placing.fingers.flatMap((row, k) =>
    row.flatMap((finger, j) =>
      finger === undefined ? [] : [{ string: line.events[placing.first + k]!.strings[j]!, finger }],
    ),
  );
  if (placed.length < 2) return undefined;
  placed.sort((a, b) => a.string - b.string);
  return { low: placed[0]!, high: placed[placed.length - 1]! };
}

/** In steps. */
function span(line: FingeringLine, placing: Placing): number {
  const outer = outermost(line, placing);
  return outer ? outer.high.string - outer.low.string : 0;
}

/** By how many steps a placing is wider than is comfortable for its outermost fingers; 0 or less: it is not. */
function widthBeyond(line: FingeringLine, placing: Placing, comfort: Comfort): number {
  const outer = outermost(line, placing);
  if (!outer) return 0;
  const steps = comfort.steps[`${outer.high.finger}-${outer.low.finger}`] ?? 0;
  const rolled = placing.first === placing.last && line.events[placing.first]!.rolled === true;
  return span(line, placing) - steps - (rolled ? comfort.rolledSteps : 0);
}

function isQuick(line: FingeringLine, solution: Solution, index: number, comfort: Comfort): boolean {
  const placing = solution.placings[index]!;
  const before = solution.placings[index - 1];
  if (placing.joint !== "separate" || !before) return false;
  const from = line.events[before.last]!;
  const to = line.events[placing.first]!;
  const micros = to.atMicros - from.atMicros;
  const [only, ...others] = from.strings;
  if (others.length === 0 && to.strings.length === 1 && only === to.strings[0]) {
    const sameFinger = solution.fingers[before.last]![0] === solution.fingers[placing.first]![0];
    return sameFinger && micros < comfort.sameFingerMicros;
  }
  const distance = Math.min(...from.strings.flatMap((a) => to.strings.map((b) => Math.abs(a - b))));
  return micros < (distance > comfort.leapSteps ? comfort.afterLeapMicros : comfort.comeOffMicros);
}

function withArticle(interval: string): string {
  return `${/^[aeo]/.test(interval) ? "an" : "a"} ${interval}`;
}
