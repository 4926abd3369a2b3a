import { PassageMemory } from "../passages/passageMemory.ts";
import { SolutionMemory } from "../rules/support/solutionMemory.ts";

/**
 * What one reading of a score found that the next reading of nearly the same score can use. Nothing that is found
 * depends on it; only the time does.
 */
export class AnalysisMemory {
  readonly solutions = new SolutionMemory();
  readonly passages = new PassageMemory();
}
