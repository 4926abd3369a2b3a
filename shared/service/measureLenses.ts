import type { WrittenHand } from "../fingering/written.ts";
import type { Measure } from "../score/model.ts";
import { firstWhere } from "../text/firstWhere.ts";
import type { Span } from "../text/span.ts";
import type { Analysis } from "./analyse.ts";
import { startTagAt } from "./outline.ts";
import { passageName } from "./panelRepeats.ts";
import { passagesOf } from "./passagesOf.ts";
import { placeOf } from "./places.ts";

/** A line above a measure. */
export interface MeasureLens {
  /** The measure's start tag. */
  readonly span: Span;
  readonly title: string;
}

/**
 * The harp's bars with what is printed in them and what comes back: first the placings of each hand as digits, then
 * the passages that begin there.
 */
export function measureLenses(analysis: Analysis): MeasureLens[] {
  const passages = passageTitles(analysis);
  return (analysis.harp?.parts ?? []).flatMap((part, i) =>
    part.measures.flatMap((measure) => {
      const span = startTagAt(analysis.text, measure.span);
      const hands = analysis.hands.flatMap((hand) => handDigits(hand, measure) ?? []);
      // What comes back is told once where a harp has two parts.
      const titles = [...(hands.length > 0 ? [hands.join(" · ")] : [])];
      if (i === 0) titles.push(...(passages.get(measure.index) ?? []));
      return titles.map((title) => ({ span, title }));
    }),
  );
}

/**
 * `right (4 3 2 1) 2+1`: the printed fingers of a hand in a bar; a placing in brackets, the notes of a chord joined,
 * lowest first, `-` for a note without a finger. Undefined when no finger is printed in the bar.
 */
function handDigits(hand: WrittenHand, measure: Measure): string | undefined {
  const { events } = hand.line;
  const measureOf = (event: number): Measure => events[event]!.notes[0]!.note.measure;
  const first = firstWhere(events.length, (event) => measureOf(event).index >= measure.index);
  const digits: string[] = [];
  for (let event = first; event < events.length && measureOf(event) === measure; event += 1) {
    const opens = hand.placings.filter((placing) => placing.first === event && placing.last > event).length;
    const closes = hand.placings.filter((placing) => placing.last === event && placing.first < event).length;
    const row = events[event]!.notes.map((_, j) => hand.fingers[event]?.[j] ?? "-").join("+");
    digits.push(`${"(".repeat(opens)}${row}${")".repeat(closes)}`);
  }
  const text = digits.join(" ");
  return /\d/.test(text) ? `${hand.hand} ${text}` : undefined;
}

/** By the index of the measure in which a passage begins: where else it stands. */
function passageTitles(analysis: Analysis): Map<number, ReadonlySet<string>> {
  const titles = new Map<number, Set<string>>();
  passagesOf(analysis).classes.forEach(({ occurrences }, index) => {
    const bars = occurrences.map(({ hand, first }) => {
      const written = analysis.hands.find((candidate) => candidate.hand === hand)!;
      return { hand, bar: placeOf(written, first).bar, measure: measureIndex(written, first) };
    });
    for (const { hand, measure } of bars) {
      const isHere = (other: (typeof bars)[number]): boolean =>
        other.hand === hand && other.measure === measure;
      const others = new Set(
        bars
          .filter((other) => !isHere(other))
          .map((other) => (other.hand === hand ? other.bar : `${other.bar} (${other.hand} hand)`)),
      );
      const places =
        others.size > 0 ? `also at ${others.size > 1 ? "bars" : "bar"} ${listOf([...others])}` : "";
      const again = bars.filter(isHere).length > 1 ? "again in this bar" : "";
      const title = `passage ${passageName(index)}, ${hand} hand: ${[again, places].filter((text) => text !== "").join(", ")}`;
      titles.set(measure, (titles.get(measure) ?? new Set()).add(title));
    }
  });
  return titles;
}

function measureIndex({ line }: WrittenHand, event: number): number {
  return line.events[event]!.notes[0]!.note.measure.index;
}

/** At most so many bars are named. */
const mostBars = 8;

function listOf(bars: readonly string[]): string {
  if (bars.length > mostBars)
    return `${bars.slice(0, mostBars).join(", ")} and ${bars.length - mostBars} more`;
  return bars.length > 1 ? `${bars.slice(0, -1).join(", ")} and ${bars.at(-1)}` : (bars[0] ?? "");
}
