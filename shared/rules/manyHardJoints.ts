import { comfortFor } from "../fingering/comfort.ts";
import type { WrittenHand } from "../fingering/written.ts";
import { defineRule, type RuleInput } from "./define.ts";
import { numberWord, startTagOf } from "./support/places.ts";
import { reachOf } from "./support/reach.ts";
import { isOutOfTime } from "./support/timing.ts";

/** Hard joints in a bar that a level takes, by the number of fingers it uses. Estimates, no source. */
const mostInBar: Readonly<Record<number, number>> = { 2: 2, 3: 4, 4: 8 };

export const manyHardJoints = defineRule({
  id: "many-hard-joints",
  severity: "info",
  summary: "Bars have more crossings, quick changes of place and leaps than the chosen level takes.",
  why: "One hard joint is a matter of practice; many close together tire a hand and a learner. The spot may be simplified or taken slower.",
  bad: "@120 C4+E4+G4 D4+F4+A4 E4+G4+B4 F4+A4+C5 E4+G4+B4 D4+F4+A4 C4+E4+G4 B3+D4+F4",
  good: "@50 C4+E4+G4 D4+F4+A4 E4+G4+B4 F4+A4+C5 E4+G4+B4 D4+F4+A4 C4+E4+G4 B3+D4+F4",
  given: { words: "for a player who uses three fingers", profile: { level: 3 } },
  fixes: [],
  check(input, report) {
    const used = input.weights.level.filter((milli, finger) => finger > 0 && milli === 0).length;
    const most = mostInBar[used] ?? 0;
    for (const hand of input.hands) {
      for (const stretch of stretchesAbove(hardJoints(input, hand), most)) {
        const [first, last] = [stretch[0]!, stretch[stretch.length - 1]!];
        const bars =
          first === last ? `Bar ${first.number} has` : `Bars ${first.number} to ${last.number} have`;
        const counts = stretch.map(({ events }) => events.length);
        const count = first === last ? counts[0]! : `${Math.min(...counts)} to ${Math.max(...counts)}`;
        const each = first === last ? "" : " each";
        report({
          span: startTagOf(hand.line.events[first.events[0]!]!.notes[0]!.note),
          message: `${bars} ${String(count).replace(/^(\d+) to \1$/, "$1")} hard joints${each} in the ${hand.hand} hand (crossings, quick changes of place, leaps); the chosen level takes ${numberWord(most)} in a bar.`,
          at: { hand, event: first.events[0]! },
        });
      }
    }
  },
});

interface Bar {
  readonly index: number;
  readonly number: string;
  /** Events that a hard joint leads to. */
  readonly events: number[];
}

function hardJoints(input: RuleInput, hand: WrittenHand): Bar[] {
  const bars: Bar[] = [];
  for (let event = 1; event < hand.line.events.length; event += 1) {
    if (!isHard(input, hand, event)) continue;
    const { index, number } = hand.line.events[event]!.notes[0]!.note.measure;
    const last = bars[bars.length - 1];
    if (last?.index === index) last.events.push(event);
    else bars.push({ index, number, events: [event] });
  }
  return bars;
}

function stretchesAbove(bars: readonly Bar[], most: number): Bar[][] {
  const stretches: Bar[][] = [];
  for (const bar of bars) {
    if (bar.events.length <= most) continue;
    const last = stretches[stretches.length - 1];
    if (last && last[last.length - 1]!.index === bar.index - 1) last.push(bar);
    else stretches.push([bar]);
  }
  return stretches;
}

const comfort = comfortFor({});

/** A crossing by its printed fingers, or another place for the hand in less time than is comfortable. */
function isHard({ weights }: RuleInput, hand: WrittenHand, event: number): boolean {
  const { events } = hand.line;
  const [from, to] = [events[event - 1]!, events[event]!];
  const micros = to.atMicros - from.atMicros;
  if (to.cutBefore || micros >= comfort.afterLeapMicros) return false;
  if (isOutOfTime(hand, event - 1) || isOutOfTime(hand, event)) return false;
  const [a, b] = [from.notes, to.notes];
  const up = b[0]!.string - a[a.length - 1]!.string;
  const down = a[0]!.string - b[b.length - 1]!.string;
  const steps = Math.max(up, down);
  const together =
    a.length + b.length <= 4 && steps > 0 && spanOf(hand, event) <= reachOf(weights, 1, 4).possible;
  if (together && isCrossing(hand, event, up > 0)) return micros < comfort.comeOffMicros;
  if (together) return false;
  if (steps > comfort.leapSteps) return true;
  // The same strings again are near, and the hand knows them.
  const same = a.length === b.length && a.every(({ string }, i) => string === b[i]!.string);
  return !same && micros < comfort.comeOffMicros;
}

function spanOf({ line }: WrittenHand, event: number): number {
  const [a, b] = [line.events[event - 1]!.notes, line.events[event]!.notes];
  return Math.max(a[a.length - 1]!.string, b[b.length - 1]!.string) - Math.min(a[0]!.string, b[0]!.string);
}

/** The printed fingers run against the strings, so that no one placing holds both. */
function isCrossing({ fingers }: WrittenHand, event: number, rising: boolean): boolean {
  const [a, b] = [fingers[event - 1]!, fingers[event]!];
  const [lower, higher] = rising ? [a[a.length - 1], b[0]] : [b[b.length - 1], a[0]];
  return lower !== undefined && higher !== undefined && higher >= lower;
}
