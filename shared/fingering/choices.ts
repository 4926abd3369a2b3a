import type { LineCosts, PlacingChoice } from "./costs.ts";
import type { Direction, Finger } from "./model.ts";

/** All ways to put `count` fingers on ascending strings: descending digits, smallest sets first. */
export const fingerSets: readonly (readonly (readonly Finger[])[])[] = [
  [],
  [[1], [2], [3], [4]],
  [
    [2, 1],
    [3, 1],
    [3, 2],
    [4, 1],
    [4, 2],
    [4, 3],
  ],
  [
    [3, 2, 1],
    [4, 2, 1],
    [4, 3, 1],
    [4, 3, 2],
  ],
  [[4, 3, 2, 1]],
];

/** No more placings than this begin at an event: fifteen, and eight with a slide. */
export const mostChoices = 23;

/**
 * All placings that can begin at an event: those of one direction and at most four notes, with every choice of
 * fingers; and where a slide may begin, those that hold a note more.
 */
export function choicesFrom(costs: LineCosts, first: number): PlacingChoice[] {
  const choices: PlacingChoice[] = [];
  const sliding = costs.slides[first];
  const mostNotes = sliding === undefined ? 4 : 5;
  let strings: readonly number[] = costs.strings[first]!;
  let direction: Direction = "together";
  for (let last = first; ; ) {
    for (const fingers of fingerSets[strings.length] ?? []) {
      choices.push({ first, last, direction, strings, fingers });
    }
    if (sliding !== undefined && last > first) {
      for (const fingers of fingerSets[strings.length - 1]!) {
        const doubled = withSlide(fingers, sliding);
        if (doubled) choices.push({ first, last, direction, strings, fingers: doubled, slide: true });
      }
    }
    last += 1;
    const next = costs.strings[last];
    if (!next || costs.cutBefore[last] || strings.length + next.length > mostNotes) return choices;
    const rises = strings[strings.length - 1]! < next[0]!;
    const falls = next[next.length - 1]! < strings[0]!;
    if (rises && direction !== "falling") {
      direction = "rising";
      strings = [...strings, ...next];
    } else if (falls && direction !== "rising") {
      direction = "falling";
      strings = [...next, ...strings];
    } else {
      return choices;
    }
  }
}

/** The fingers with the sliding one twice, when it is the outermost where the placing begins: the thumb above, 4 below. */
function withSlide(fingers: readonly Finger[], sliding: Finger): readonly Finger[] | undefined {
  if (sliding === 1) return fingers[fingers.length - 1] === 1 ? [...fingers, 1] : undefined;
  return fingers[0] === 4 ? [4, ...fingers] : undefined;
}

/** The fingers of one event within a placing, by ascending string. */
export function fingersAt(costs: LineCosts, choice: PlacingChoice, event: number): readonly Finger[] {
  const strings = costs.strings[event]!;
  const from = choice.strings.indexOf(strings[0]!);
  return choice.fingers.slice(from, from + strings.length);
}
