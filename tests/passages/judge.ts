import type { PassageClass } from "../../shared/passages/model.ts";
import type { Plant, PlantedScore, Trap } from "./plantedScore.ts";

/** How found classes compare with what was planted. */
export interface Verdict {
  readonly plants: readonly { readonly plant: Plant; readonly found: boolean; readonly share: number }[];
  readonly rightClasses: number;
  readonly wrong: readonly PassageClass[];
  /** Traps of which a class takes half or more for their model. */
  readonly caught: readonly Trap[];
}

/** A plant counts as found when one class of its kind ties this part of its events together. */
const shareToFind = 0.8;
/** A class counts as right when this part of the events that it ties together was planted so. */
const shareToBeRight = 0.6;

export function judge({ plants, traps }: PlantedScore, classes: readonly PassageClass[]): Verdict {
  const tied = classes.map((found) => ({ found, pairs: pairsOf(found) }));
  const planted = new Set(plants.flatMap(({ pairs }) => pairs.map(([a, b]) => key(a, b))));
  const judged = plants.map((plant) => {
    const shares = tied
      .filter(({ found }) => fits(plant, found))
      .map(({ pairs }) => plant.pairs.filter(([a, b]) => pairs.has(key(a, b))).length / plant.pairs.length);
    const share = Math.max(0, ...shares);
    return { plant, share, found: share >= shareToFind };
  });
  const wrong = tied.filter(
    ({ pairs }) => [...pairs].filter((pair) => planted.has(pair)).length < shareToBeRight * pairs.size,
  );
  const caught = traps.filter(({ hand, first, last }) =>
    classes.some((found) => {
      const inTrap = found.occurrences.filter(
        (one) => one.hand === hand && one.first <= last && one.last >= first,
      );
      const shared = inTrap.map((one) => Math.min(one.last, last) - Math.max(one.first, first) + 1);
      return Math.max(0, ...shared) >= (last - first + 1) / 2;
    }),
  );
  return {
    plants: judged,
    rightClasses: classes.length - wrong.length,
    wrong: wrong.map(({ found }) => found),
    caught,
  };
}

/** A small change near an edge leaves an exact return that is almost as long. */
function fits(plant: Plant, found: PassageClass): boolean {
  if (plant.kind === "near") return found.kind === "near" || found.kind === "exact";
  return found.kind === plant.kind;
}

function pairsOf({ occurrences, alignment }: PassageClass): Set<string> {
  const pairs = new Set<string>();
  alignment.forEach((row, k) => {
    for (let j = 0; j < k; j += 1) {
      row.forEach((event, m) => {
        const other = alignment[j]![m];
        if (event === undefined || other === undefined) return;
        pairs.add(key({ hand: occurrences[j]!.hand, event: other }, { hand: occurrences[k]!.hand, event }));
      });
    }
  });
  return pairs;
}

function key(
  a: { readonly hand: string; readonly event: number },
  b: { readonly hand: string; readonly event: number },
): string {
  return [`${a.hand} ${a.event}`, `${b.hand} ${b.event}`].sort().join(", ");
}
