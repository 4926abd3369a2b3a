/** What finding out about a score takes, rule by rule, in milliseconds for a megabyte, new and after an edit. */
import { SaxesParser } from "saxes";
import { passagesOfHands } from "../../shared/passages/passagesOfHands.ts";
import type { RuleInput } from "../../shared/rules/define.ts";
import { rules } from "../../shared/rules/registry.ts";
import { type Analysis, analyse } from "../../shared/service/analyse.ts";
import { AnalysisMemory } from "../../shared/service/analysisMemory.ts";
import { generatedScore } from "../support/generatedScore.ts";
import { largeScore } from "../support/largeScore.ts";

const rounds = 8;

/** How the text differs from the one that was read before it. */
const edits: Readonly<Record<string, (text: string, round: number) => string>> = {
  new: (text) => text,
  "after a digit": (text, round) => changedOnce(text, /<fingering[^>]*>\d</g, round),
  "after a note": (text, round) => changedOnce(text, /<octave>\d</g, round),
};

/** The digit that a pattern ends with made another one, each round in another place. */
function changedOnce(text: string, pattern: RegExp, round: number): string {
  pattern.lastIndex = Math.floor(text.length / 2) + 5_000 * round;
  const { index, 0: found } = pattern.exec(text)!;
  const at = index + found.length - 2;
  return `${text.slice(0, at)}${1 + (Number(text[at]) % 4)}${text.slice(at + 1)}`;
}

/** The least times of several rounds, by what is timed. */
class Times {
  readonly least = new Map<string, number>();

  of<T>(name: string, work: () => T): T {
    const start = performance.now();
    const result = work();
    const time = performance.now() - start;
    this.least.set(name, Math.min(this.least.get(name) ?? Number.POSITIVE_INFINITY, time));
    return result;
  }
}

function timesFor(text: string, edit: string): { times: Times; findings: Map<string, number> } {
  const times = new Times();
  const findings = new Map<string, number>();
  let memory = new AnalysisMemory();
  for (let round = 0; round < rounds; round += 1) {
    if (edit === "new") memory = new AnalysisMemory();
    const version = edits[edit]!(text, round);
    times.of("saxes, bare", () => new SaxesParser().write(version).close());
    times.of("all of it", () => analyse(version, {}, memory).findings);
    if (edit === "new") memory = new AnalysisMemory();
    // Another version than the one that has just been read.
    const next = edits[edit]!(text, round + 1);
    const analysis = times.of("reading, hands, brackets", () => analyse(next, {}, memory));
    const input = inputOf(analysis, memory);
    times.of("passages", () => passagesOfHands(input.hands, input.score));
    for (const rule of rules) {
      let count = 0;
      times.of(rule.id, () =>
        rule.check(input, () => {
          count += 1;
        }),
      );
      findings.set(rule.id, count);
    }
  }
  return { times, findings };
}

/** What the rules look at, before any of them has run. */
function inputOf(analysis: Analysis, { solutions }: AnalysisMemory): RuleInput {
  const { text, score, harp, hands, weights } = analysis;
  return { text, score, harp: harp!, hands, weights, solutions };
}

const texts = { "a demo again and again": largeScore(1_000_000), generated: generatedScore(1_000_000) };
for (const [name, text] of Object.entries(texts)) {
  const columns = Object.keys(edits).map((edit) => timesFor(text, edit));
  const megabytes = text.length / 1e6;
  process.stdout.write(`\n${name}, ${megabytes.toFixed(1)} MB: ms a MB\n`);
  process.stdout.write(`${["", ...Object.keys(edits), "findings"].map(cell).join("")}\n`);
  for (const what of columns[0]!.times.least.keys()) {
    const times = columns.map(({ times: { least } }) => (least.get(what)! / megabytes).toFixed(1));
    const count = columns[0]!.findings.get(what);
    process.stdout.write(`${[what, ...times, `${count ?? ""}`].map(cell).join("").trimEnd()}\n`);
  }
}

function cell(text: string, column: number): string {
  return column === 0 ? text.padEnd(40) : text.padStart(15);
}
