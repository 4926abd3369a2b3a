import { SolutionMemory } from "../fingering/solutionMemory.ts";
import { PassageMemory } from "../passages/passageMemory.ts";
import { PrintMemory } from "../rules/support/printMemory.ts";

/**
 * What one reading of a score found that the next reading of nearly the same score can use. Nothing that is found
 * depends on it; only the time does.
 */
export class AnalysisMemory {
  readonly solutions = new SolutionMemory();
  readonly print = new PrintMemory();
  readonly passages = new PassageMemory();
}
