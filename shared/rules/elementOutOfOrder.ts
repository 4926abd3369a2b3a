import { type Misplaced, misplacedElements } from "../musicxml/elementOrder.ts";
import type { Measure } from "../score/model.ts";
import { defineRule, type Report, type RuleInput } from "./define.ts";
import { BarMemory } from "./support/barMemory.ts";
import { placeInHands } from "./support/piece.ts";
import { keptWithPrint } from "./support/printMemory.ts";

export const elementOutOfOrder = defineRule({
  id: "element-out-of-order",
  severity: "error",
  summary: "An element of the file stands where the MusicXML standard does not allow it.",
  why: "The standard fixes the order of what a note, a direction or the attributes of a bar are made of. Programs that check a file refuse it for this, and others lose what stands in the wrong place.",
  bad: "C4:2 E4:1!misplaced",
  good: "C4:2 E4:1",
  fixes: [],
  check(input, report) {
    for (const { first, others } of kindsOf(input)) {
      const { parent, child, after } = first.misplaced;
      const more =
        others.length === 0
          ? ""
          : `, here and at ${others.length} more ${others.length === 1 ? "place" : "places"}`;
      report({
        span: first.misplaced.span,
        message: `<${child}> stands after <${after}> in <${parent}>${more}; the standard has it before. Programs that check the file refuse it: write it anew with the program that it comes from.`,
        at: placeOf(input, first),
        related: others.slice(0, mostRelated).map(({ misplaced, measure }) => ({
          span: misplaced.span,
          message: `So it is in bar ${measure.number}.`,
        })),
      });
    }
  },
});

/** A program that gets an order wrong does so throughout: so many places show it. */
const mostRelated = 20;

interface Place {
  readonly misplaced: Misplaced;
  readonly measure: Measure;
}

/** With spans from the beginning of the bar. */
const misplacedByBar = keptWithPrint(() => new BarMemory<readonly Misplaced[]>());

/** What is out of order in the harp's parts, each kind once. */
function kindsOf(input: RuleInput): { first: Place; others: Place[] }[] {
  const kinds = new Map<string, { first: Place; others: Place[] }>();
  const measures = input.harp.parts.flatMap((part) => part.measures);
  const texts = measures.map(({ span }) => input.text.slice(span.start, span.end));
  const inBar = (bar: string): Misplaced[] => misplacedElements(bar, { start: 0, end: bar.length });
  misplacedByBar(input)
    .answers(texts, inBar)
    .forEach((found, i) => {
      for (const each of found) {
        const place = { misplaced: movedBy(measures[i]!.span.start, each), measure: measures[i]! };
        const key = `${each.parent} ${each.child} ${each.after}`;
        const kind = kinds.get(key);
        if (kind) kind.others.push(place);
        else kinds.set(key, { first: place, others: [] });
      }
    });
  return [...kinds.values()];
}

function movedBy(start: number, misplaced: Misplaced): Misplaced {
  const { span } = misplaced;
  return { ...misplaced, span: { start: start + span.start, end: start + span.end } };
}

/** The note that it belongs to, or the next one that is plucked in its bar. */
function placeOf(input: RuleInput, { misplaced, measure }: Place): Report["at"] {
  for (const { notes } of input.harp.parts) {
    for (const note of notes) {
      if (note.measure !== measure || note.site.span.end <= misplaced.span.start) continue;
      const place = placeInHands(input, note);
      if (place) return place;
    }
  }
  return undefined;
}
