import { fingerSets } from "../fingering/choices.ts";
import type { Finger } from "../fingering/model.ts";
import type { WrittenHand } from "../fingering/written.ts";
import type { Edit } from "../text/edits.ts";
import { defineRule, type Fix, type RuleInput } from "./define.ts";
import { regroupEdits } from "./support/bracketShape.ts";
import { digitEdits, fingersIn } from "./support/fixes.ts";
import { intervalWords, nameOf, placeOfNote, startTagOf } from "./support/places.ts";
import { type PlacedNote, type PrintedPlacing, printedPlacings } from "./support/printedPlacings.ts";
import { type WideReach, wideReach } from "./support/reach.ts";
import { allBut, solveAround } from "./support/solveAround.ts";

const anew = { title: "Finger these notes anew", safety: "ask" } as const;
const regroup = { title: "Place these notes under other brackets", safety: "ask" } as const;

const caution = "Stop on pain; a teacher's or clinician's word goes first.";

export const reachBeyondHand = defineRule({
  id: "reach-beyond-hand",
  severity: "error",
  summary:
    "A chord or a placing is wider than the chosen hand profile reaches (error) or reaches in comfort (warning).",
  why: `Hands, fingers and string spacings differ, so the limits come from the chosen hand profile; most hands take a tenth between thumb and 4. A rolled chord may be wider. Reaches are proposals: ${caution.charAt(0).toLowerCase()}${caution.slice(1)}`,
  bad: "C4:3+E5:1",
  good: "C4:4+E5:1",
  fixes: [anew, regroup],
  check(input, report) {
    for (const hand of input.hands) {
      for (const placing of printedPlacings(input, hand)) {
        const reach = wideReach(placing, input.weights);
        if (!reach || isThumbMatter(placing, reach)) continue;
        const { low, high } = reach;
        const comfortable = comfortableFingers(input, placing);
        // The hard spot of a usual shape, which takes all the fingers it can.
        const isHardSpot = reach.severity === "warning" && !reach.outermost && comfortable.length === 0;
        report({
          span: reach.byFingers ? placeOfNote(high.entry) : startTagOf(high.entry.note),
          severity: isHardSpot ? "info" : reach.severity,
          message: messageOf(reach, placing, comfortable.length > 0),
          at: { hand, event: high.event },
          related: [
            {
              span: reach.byFingers ? placeOfNote(low.entry) : startTagOf(low.entry.note),
              message: `${nameOf(low.entry)} is the other end of the reach.`,
            },
          ],
          fixes: fixesFor(input, hand, placing, reach, comfortable),
        });
      }
    }
  },
});

/** Wide only in comfort, because the thumb is not on top: that is said of the thumb. */
function isThumbMatter({ notes }: PrintedPlacing, reach: WideReach): boolean {
  const top = notes[notes.length - 1]!.finger;
  return reach.severity === "warning" && top !== undefined && top !== 1;
}

function messageOf(
  { severity, low, high, steps, most, byFingers }: WideReach,
  placing: PrintedPlacing,
  otherFingers: boolean,
): string {
  const finger = (note: PlacedNote): string => (byFingers ? ` (${note.finger})` : "");
  const what = `${nameOf(low.entry)}${finger(low)} to ${nameOf(high.entry)}${finger(high)} is ${intervalWords(steps)}`;
  const fingers = byFingers ? ` between ${low.finger} and ${high.finger}` : "";
  const limit = `${intervalWords(most)}${fingers}`;
  const isChord = placing.first === placing.last;
  const other = !isChord ? "a new placing or " : placing.rolled ? "" : "rolling or ";
  const advice =
    byFingers && otherFingers
      ? " Other fingers reach it in comfort."
      : ` Consider ${other}sharing it between the hands.`;
  return severity === "error"
    ? `${what}: too wide for the chosen hand profile, which reaches at most ${limit}.${advice}`
    : `${what}: wide for the chosen hand profile, comfortable up to ${limit}.${advice} ${caution}`;
}

/** The fingers, thumb on top, that take these strings within comfort. */
function comfortableFingers(input: RuleInput, placing: PrintedPlacing): (readonly Finger[])[] {
  const sets = placing.notes.length <= 4 ? fingerSets[placing.notes.length]! : [];
  return sets.filter(
    (fingers) =>
      fingers[fingers.length - 1] === 1 &&
      fingers.every((finger) => input.weights.level[finger] === 0) &&
      !wideReach({ ...placing, notes: withFingers(placing, fingers) }, input.weights),
  );
}

function fixesFor(
  input: RuleInput,
  hand: WrittenHand,
  placing: PrintedPlacing,
  { severity }: WideReach,
  comfortable: readonly (readonly Finger[])[],
): Fix[] {
  const fingered = placing.notes.filter(({ finger }) => finger !== undefined);
  if (comfortable.length > 0) {
    if (fingered.length === 0) return [];
    const edits = (): readonly Edit[] => {
      const tried = comfortable.map((fingers) => {
        const fixed = placing.notes.map((note, i) => ({ ...note, finger: fingers[i]! }));
        return solveAround(input, hand, placing, { ...allBut(fixed), fixed });
      });
      const best = tried.reduce((a, b) => (b.totalMilli < a.totalMilli ? b : a));
      return digitEdits(input, hand, fingersIn(best, fingered));
    };
    return [{ ...anew, edits }];
  }
  const { bracket } = placing;
  if (severity !== "error" || !bracket || placing.first === placing.last) return [];
  const edits = regroupEdits(input, hand, bracket);
  return edits ? [{ ...regroup, edits }] : [];
}

function withFingers({ notes }: PrintedPlacing, fingers: readonly Finger[]): PlacedNote[] {
  return notes.map((note, i) => ({ ...note, finger: fingers[i]! }));
}
