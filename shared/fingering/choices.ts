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

/**
 * All placings that can begin at an event: those of one direction and at most four notes, with every choice of
 * fingers. At most fifteen.
 */
export function choicesFrom(costs: LineCosts, first: number): PlacingChoice[] {
  const choices: PlacingChoice[] = [];
  let strings: readonly number[] = costs.strings[first]!;
  let direction: Direction = "together";
  for (let last = first; ; ) {
    for (const fingers of fingerSets[strings.length]!) {
      choices.push({ first, last, direction, strings, fingers });
    }
    last += 1;
    const next = costs.strings[last];
    if (!next || costs.cutBefore[last] || strings.length + next.length > 4) return choices;
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

/** The fingers of one event within a placing, by ascending string. */
export function fingersAt(costs: LineCosts, choice: PlacingChoice, event: number): readonly Finger[] {
  const strings = costs.strings[event]!;
  const from = choice.strings.indexOf(strings[0]!);
  return choice.fingers.slice(from, from + strings.length);
}
