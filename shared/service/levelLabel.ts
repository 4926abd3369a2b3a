import type { HandFacts, LevelFacts, WidthKind } from "./level.ts";

/** A level as somebody's table has it: its name, and what a piece may ask for at most. */
export interface LevelRow {
  readonly name: string;
  readonly atMost?: Readonly<Partial<Record<GreatestFact, number>>>;
  readonly atLeast?: Readonly<Partial<Record<LeastFact, number>>>;
}

/** Facts that a table can set an upper limit to. */
export const greatestFacts = {
  fingers: "The highest finger in use.",
  struckSteps: "The widest struck chord of one hand, in steps from string to string: 7 is an octave.",
  rolledSteps: "The widest rolled chord of one hand, in steps.",
  inTurnSteps: "The widest placing that is played note by note, in steps.",
  crossings: "How often a finger passes under the thumb, or the thumb over a finger.",
  separateJoints: "How often a hand comes off and is placed anew.",
  bothHandsLook: "How often both hands need the eyes at once.",
  independentBars: "Bars in which each hand has a rhythm of its own.",
  strings: "Strings from the lowest to the highest that is played.",
  harmonics: "Harmonics.",
  leverChanges: "Levers moved during the piece, where the settings tell the harp and its tuning.",
  tempo: "The fastest tempo, in quarter notes a minute.",
  bars: "Bars.",
} as const;

/** Facts that a table can set a lower limit to. */
export const leastFacts = {
  replacingMilliseconds: "The least time in which a hand comes off and is placed anew, in milliseconds.",
} as const;

export type GreatestFact = keyof typeof greatestFacts;
export type LeastFact = keyof typeof leastFacts;

/** The name of the first level whose limits all hold. */
export function labelOf(facts: Omit<LevelFacts, "label">, levels: readonly LevelRow[]): string | undefined {
  return levels.find(({ atMost = {}, atLeast = {} }) => {
    const below = (Object.keys(atMost) as GreatestFact[]).every(
      (name) => greatest(facts, name) <= atMost[name]!,
    );
    const least = leastReplacing(facts);
    return below && (atLeast.replacingMilliseconds ?? 0) <= least;
  })?.name;
}

function greatest(facts: Omit<LevelFacts, "label">, name: GreatestFact): number {
  const { hands } = facts;
  const most = (value: (hand: HandFacts) => number): number => Math.max(0, ...hands.map(value));
  const total = (value: (hand: HandFacts) => number): number =>
    hands.reduce((sum, hand) => sum + value(hand), 0);
  const width = (kind: WidthKind): number => most(({ widest }) => widest[kind]?.steps ?? 0);
  switch (name) {
    case "fingers":
      return most(({ fingers }) => Math.max(0, ...fingers));
    case "struckSteps":
      return width("struck");
    case "rolledSteps":
      return width("rolled");
    case "inTurnSteps":
      return width("inTurn");
    case "crossings":
      return total(({ joints }) => joints.cross);
    case "separateJoints":
      return total(({ joints }) => joints.separate);
    case "bothHandsLook":
      return facts.bothHandsLook;
    case "independentBars":
      return facts.rhythm.independentBars;
    case "strings":
      return facts.register.strings;
    case "harmonics":
      return total(({ harmonics }) => harmonics);
    case "leverChanges":
      return facts.levers?.changes ?? 0;
    case "tempo":
      return facts.tempo.fastest;
    case "bars":
      return facts.bars;
  }
}

function leastReplacing({ hands }: Pick<LevelFacts, "hands">): number {
  return Math.min(
    Number.POSITIVE_INFINITY,
    ...hands.flatMap(({ shortestReplacing }) => shortestReplacing?.milliseconds ?? []),
  );
}
