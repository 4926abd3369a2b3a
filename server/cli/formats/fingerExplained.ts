import type { FingeredHand } from "../../../shared/fingering/write.ts";
import type { Keep } from "../../../shared/fingering/written.ts";
import type { Analysis } from "../../../shared/service/analyse.ts";
import { closestChoice, explainPlacing, placingLines } from "../../../shared/service/explain.ts";
import type { ScoreFingering } from "../../../shared/service/fingerScore.ts";
import { termWords, unitsText } from "../../../shared/service/words.ts";

/**
 * A fingering placing by placing: notes with fingers, how each placing follows, what it costs by term, and the
 * closest other choice within it.
 */
export function fingerExplained(analysis: Analysis, fingering: ScoreFingering, kept: KeptOfHand): string {
  const lines: string[] = [];
  for (const hand of fingering.hands) {
    lines.push(`${hand.written.hand === "right" ? "Right" : "Left"} hand`, "");
    lines.push(...handLines(hand, analysis, kept(hand)), "");
  }
  lines.push(`The whole fingering costs ${unitsText(fingering.totalMilli)}, of which:`);
  const terms = [...fingering.terms].sort((a, b) => b[1] - a[1]);
  for (const [name, milli] of terms) lines.push(`  ${unitsText(milli).padStart(7)}  ${termWords[name]}`);
  return `${lines.join("\n")}\n`;
}

/** What of a hand's print is kept. */
export type KeptOfHand = (hand: FingeredHand) => Keep;

/** Other choices that cost more than this, in thousandths, are not worth a line. */
const worthNamingMilli = 1500;

function handLines({ written, solution, range }: FingeredHand, { weights }: Analysis, keep: Keep): string[] {
  const lines: string[] = [];
  solution.placings.forEach((placing, index) => {
    if (range && (placing.last < range.first || placing.first > range.last)) return;
    lines.push(...placingLines(explainPlacing(written, solution, index)));
    const closest = closestChoice(written, solution, index, weights, keep);
    if (closest && closest.alternative.moreMilli < worthNamingMilli) {
      const { choice, alternative } = closest;
      const where = placing.fingers.flat().length > 1 ? ` on ${choice.pitch}` : "";
      lines.push(`           or ${alternative.finger}${where}: ${alternative.comparison.words}`);
    }
  });
  return lines;
}
