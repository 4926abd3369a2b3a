import type { Finger } from "../../fingering/model.ts";
import { pairKey, type Weights } from "../../fingering/weights.ts";
import { orFound } from "../../text/orFound.ts";
import { hasSpecialSound, inOrder, type PlacedNote, type PrintedPlacing } from "./printedPlacings.ts";

/** Two notes of a placing that stand too far apart. */
export interface WideReach {
  /** `error`: beyond what the hand profile has; `warning`: beyond what is comfortable in it. */
  readonly severity: "error" | "warning";
  readonly low: PlacedNote;
  readonly high: PlacedNote;
  readonly steps: number;
  /** The most steps that are possible, or comfortable. */
  readonly most: number;
  /** False when the fingers are not printed: then the widest pair, 1 and 4, is meant. */
  readonly byFingers: boolean;
  /** The two are the outermost notes of the placing. */
  readonly outermost: boolean;
}

/**
 * A stretch that costs more than this is beyond comfort. By the default table that is more than a tenth for 1-4, a
 * seventh for 1-3, a sixth for 1-2 and 2-4, a fourth for 2-3 and 3-4: what the usual chord shapes ask for, open
 * triads over a tenth among them, and no more. Common practice, no source.
 */
const comfortableMilli = 1500;

interface ReachSteps {
  readonly possible: number;
  readonly comfortable: number;
}

/** By finger and finger. */
const known = new WeakMap<Weights, ReachSteps[][]>();
const fingers = [1, 2, 3, 4] as const;

/** The most steps that two fingers span at all, and in comfort. */
export function reachOf(weights: Weights, a: Finger, b: Finger): ReachSteps {
  const table = orFound(known, weights, () =>
    fingers.map((one) => fingers.map((other) => reachIn(weights.stretch[pairKey(one, other)]))),
  );
  return table[a - 1]![b - 1]!;
}

function reachIn(row: Weights["stretch"][string] = {}): ReachSteps {
  const costs = Object.entries(row).map(([steps, milli]) => ({ steps: Number(steps), milli }));
  const most = (from: typeof costs): number => Math.max(0, ...from.map(({ steps }) => steps));
  return { possible: most(costs), comfortable: most(costs.filter(({ milli }) => milli <= comfortableMilli)) };
}

/**
 * The reach of a placing that is furthest beyond the hand, or else beyond comfort, of neighbouring fingers and of the
 * outermost ones. Fingers out of order tell nothing about a reach. A rolled chord may be wider by the steps that the
 * weights give it; harmonics may sound elsewhere.
 */
export function wideReach(placing: PrintedPlacing, weights: Weights): WideReach | undefined {
  const { notes } = placing;
  if (hasSpecialSound(notes)) return undefined;
  const ordered = inOrder(notes);
  let widest: WideReach | undefined;
  for (let i = 0; i < notes.length; i += 1) {
    for (let j = i + 1; j < notes.length; j += 1) {
      const outermost = i === 0 && j === notes.length - 1;
      if (!outermost && j > i + 1) continue;
      const found = reachBetween(notes[i]!, notes[j]!, ordered, outermost, placing.rolled, weights);
      if (found && (!widest || isWorse(found, widest))) widest = found;
    }
  }
  return widest;
}

function reachBetween(
  low: PlacedNote,
  high: PlacedNote,
  ordered: boolean,
  outermost: boolean,
  rolled: boolean,
  weights: Weights,
): WideReach | undefined {
  const byFingers = ordered && low.finger !== undefined && high.finger !== undefined;
  if (!byFingers && !outermost) return undefined;
  const [upper, lower]: [Finger, Finger] = byFingers ? [high.finger!, low.finger!] : [1, 4];
  const more = outermost && rolled ? weights.rolled.extraSteps : 0;
  const steps = high.entry.string - low.entry.string;
  const { possible, comfortable } = reachOf(weights, upper, lower);
  if (steps <= comfortable + more) return undefined;
  const found = { low, high, steps, byFingers, outermost };
  if (steps > possible + more) return { ...found, severity: "error", most: possible + more };
  return { ...found, severity: "warning", most: comfortable + more };
}

function isWorse(a: WideReach, b: WideReach): boolean {
  if (a.severity !== b.severity) return a.severity === "error";
  return a.steps - a.most > b.steps - b.most;
}
