import { JointTables } from "./jointTables.ts";
import { LineTable } from "./lineTable.ts";
import type { Finger, FingeringLine, HandName, Locks, Solution } from "./model.ts";
import { allowedSlides } from "./slides.ts";
import { solve } from "./solve.ts";
import type { Weights } from "./weights.ts";

/** The placings of a line, with all that they follow from. */
interface Known {
  readonly line: FingeringLine;
  readonly locked: Locks["placings"];
  readonly slides: readonly (Finger | undefined)[];
  readonly table: LineTable;
}

const noPlacings: Locks["placings"] = [];

/**
 * What searches of the same music have in common when only decisions differ from one to the next. Lines with other
 * events get tables of their own, and those are the ones that are kept then.
 */
export class SearchTables {
  readonly #weights: Weights;
  readonly #mostSteps: number;
  readonly #extent: "all" | "kept";
  readonly #known = new Map<HandName, Known>();
  readonly #solved = new WeakMap<FingeringLine, Solution>();
  #joint: { readonly of: readonly [LineTable, LineTable]; readonly tables: JointTables } | undefined;

  /**
   * @param mostSteps how many events both hands may have together for all that is found out to be kept.
   * @param extent    of the tables of placings: see `LineTable`. Kept ones are shared by no other decisions.
   */
  constructor(weights: Weights, mostSteps = 0, extent: "all" | "kept" = "all") {
    this.#weights = weights;
    this.#mostSteps = mostSteps;
    this.#extent = extent;
  }

  /** What `solve` gives. */
  solve(line: FingeringLine): Solution {
    let solution = this.#solved.get(line);
    if (!solution) {
      solution = solve(line, this.#weights, this.placings(line));
      this.#solved.set(line, solution);
    }
    return solution;
  }

  joint(right: FingeringLine, left: FingeringLine): JointTables {
    const of = [this.placings(right), this.placings(left)] as const;
    if (!this.#joint || this.#joint.of[0] !== of[0] || this.#joint.of[1] !== of[1]) {
      const keep = right.events.length + left.events.length <= this.#mostSteps;
      this.#joint = { of, tables: new JointTables([right, left], of, this.#weights, keep) };
    }
    return this.#joint.tables;
  }

  /** The placings of a line, the last one asked for of its hand being kept. */
  placings(line: FingeringLine): LineTable {
    const known = this.#known.get(line.hand);
    if (known?.line === line) return known.table;
    const locked = line.locks?.placings ?? noPlacings;
    const slides = allowedSlides(line, this.#weights.slides);
    const isShared = this.#extent === "all" && known?.line.events === line.events && known.locked === locked;
    if (isShared && isSame(known.slides, slides)) return known.table;
    const table = new LineTable(line, this.#weights, this.#extent);
    this.#known.set(line.hand, { line, locked, slides, table });
    return table;
  }
}

function isSame<T>(a: readonly T[], b: readonly T[]): boolean {
  return a.length === b.length && a.every((value, i) => value === b[i]);
}
