import { Guard } from "../musicxml/guard.ts";
import type { Finding, Fix, Rule } from "../rules/define.ts";
import { runRules } from "../rules/runRules.ts";
import { type Analysis, analyse, ruleInputOf, type Settings } from "../service/analyse.ts";
import { mergedSettings, readSettings } from "../service/settings.ts";
import { applyEdits } from "../text/edits.ts";
import { LineIndex } from "../text/lineIndex.ts";
import { InputError } from "../text/problem.ts";
import type { Span } from "../text/span.ts";
import { tinyScore } from "./tinyScore.ts";

export interface TryOptions {
  /** The score after the first repair of the first finding, in the short notation: its fingers and brackets. */
  readonly fixed?: string;
  /** What the first finding says, or a part of it. */
  readonly message?: string;
  /** What a `placewright.json` would say. */
  readonly settings?: object;
}

/**
 * Tries a rule on a score, or without one on its own examples: `bad` has one finding, `good` has none.
 *
 * @param score in the short notation, with `[ ]` around what is to be found; or a whole MusicXML text, with
 *              `<!-- expect our-series/digits-above -->` on the lines where something is to be found.
 * @returns what is wrong, in sentences; empty when all is well. Every repair of every finding is tried: the rule names it, it
 *          changes fingering and brackets only, its finding is gone afterwards, and in the end nothing is left to repair.
 * @throws InputError when the score or the settings cannot be read.
 */
export function tryRule(rule: Rule, score?: string, options: TryOptions = {}): string[] {
  const settings = settingsOf(options.settings ?? {});
  if (score !== undefined) return new Trial(rule, settings).ofScore(score, options);
  const trial = new Trial(rule, { ...rule.given, ...settings });
  return [...trial.ofExample("bad", 1), ...trial.ofExample("good", 0)];
}

function settingsOf(written: object): Settings {
  const file = readSettings(JSON.stringify(written));
  const [wrong] = file.problems;
  if (wrong) throw new InputError(`In the settings: ${wrong.message}`);
  return mergedSettings([{ scorePath: "score.musicxml", file }]);
}

class Trial {
  readonly #rule: Rule;
  readonly #settings: Settings;

  constructor(rule: Rule, settings: Settings) {
    this.#rule = rule;
    this.#settings = settings;
  }

  ofExample(which: "bad" | "good", count: number): string[] {
    const analysis = this.#read(readNotation(this.#rule[which].replace(/[[\]]/g, "")).text);
    const found = this.#findings(analysis);
    const wrong = found.flatMap((finding) => this.#wrongFixes(analysis, finding));
    if (found.length === count) return wrong;
    return [`The example "${which}" has ${shown(analysis.text, found)}; it should have ${count}.`, ...wrong];
  }

  ofScore(score: string, { fixed, message }: TryOptions): string[] {
    const isWhole = /^\s*<(\?xml|score-)/.test(score);
    const { text, marks } = isWhole ? { text: score, marks: undefined } : readNotation(score);
    const analysis = this.#read(text);
    const found = this.#findings(analysis);
    const expected = marks ? places(text, marks) : expectedLines(text, this.#rule.id);
    const actual = marks
      ? places(
          text,
          found.map(({ span }) => span),
        )
      : found.map(({ span }) => `line ${lineOf(text, span)}`);
    const wrong: string[] = [];
    if (actual.join("\n") !== expected.join("\n")) {
      wrong.push(`Found: ${actual.join("; ") || "nothing"}. Expected: ${expected.join("; ") || "nothing"}.`);
    }
    const [first] = found;
    if (message !== undefined && !first?.message.includes(message)) {
      wrong.push(
        `The first finding says ${JSON.stringify(first?.message ?? "nothing")}, not ${JSON.stringify(message)}.`,
      );
    }
    if (fixed !== undefined) wrong.push(...this.#wrongResult(text, first?.fixes[0], fixed));
    return [...wrong, ...found.flatMap((finding) => this.#wrongFixes(analysis, finding))];
  }

  #read(text: string): Analysis {
    const analysis = analyse(text, this.#settings);
    const [problem] = analysis.problems;
    if (problem) throw new InputError(`The score has a problem of its own: ${problem.message}`);
    return analysis;
  }

  #findings(analysis: Analysis): Finding[] {
    const input = ruleInputOf(analysis);
    return input ? runRules(input, [this.#rule]) : [];
  }

  #wrongResult(text: string, fix: Fix | undefined, fixed: string): string[] {
    if (!fix) return ["The first finding has no repair."];
    const result = print(applyEdits(text, fix.edits()));
    const expected = print(readNotation(fixed).text);
    return result === expected ? [] : [`The repair "${fix.title}" gives ${result}, not ${expected}.`];
  }

  /** What every repair promises, whatever the rule. */
  #wrongFixes(analysis: Analysis, finding: Finding): string[] {
    return finding.fixes.flatMap((fix) => {
      const wrong = this.#wrongFix(analysis, finding, fix);
      return wrong === undefined ? [] : [`"${fix.title}" of "${finding.message}": ${wrong}`];
    });
  }

  #wrongFix(analysis: Analysis, finding: Finding, fix: Fix): string | undefined {
    const { fixes } = this.#rule;
    if (!fixes.some(({ title, safety }) => title === fix.title && safety === fix.safety))
      return 'it is not among the "fixes" of the rule.';
    const edits = fix.edits();
    if (edits.length === 0) return "it changes nothing.";
    if (JSON.stringify(fix.edits()) !== JSON.stringify(edits)) return "asked twice, it gives other edits.";
    let result: string;
    try {
      result = new Guard(analysis.text).guardedText(edits);
    } catch (error) {
      return `it would change more than fingering and brackets: ${(error as Error).message}`;
    }
    const after = analyse(result, this.#settings);
    if (this.#findings(after).some((other) => keyOf(other) === keyOf(finding)))
      return "its finding is still there afterwards.";
    return this.#comesToAnEnd(after) ? undefined : "one repair after the other, they never come to an end.";
  }

  #comesToAnEnd(start: Analysis): boolean {
    let analysis = start;
    const most = this.#findings(start).length + 1;
    for (let round = 0; round <= most; round += 1) {
      const fix = this.#findings(analysis).find(({ fixes }) => fixes.length > 0)?.fixes[0];
      if (!fix) return true;
      analysis = analyse(applyEdits(analysis.text, fix.edits()), this.#settings);
    }
    return false;
  }
}

function readNotation(score: string): ReturnType<typeof tinyScore> {
  try {
    return tinyScore(score);
  } catch (error) {
    throw new InputError(`The score is not in the short notation: ${(error as Error).message}`);
  }
}

function keyOf({ message, hand, bar, beat }: Finding): string {
  return JSON.stringify([message, hand, bar, beat]);
}

/** What is fingered and bracketed, as words that can be compared. */
function print(text: string): string {
  return analyse(text)
    .hands.map(({ hand, line, brackets }) => {
      const notes = line.events.map((event) =>
        event.notes
          .map(({ note, string }) => `${string}:${note.fingerings.map((each) => each.text)}`)
          .join("+"),
      );
      const over = brackets.brackets.map(({ first, last }) => `${first}-${last}`);
      return `${hand} ${notes.join(" ")} (brackets ${over.join(" ") || "none"})`;
    })
    .join(", ");
}

function shown(text: string, found: readonly Finding[]): string {
  const said = found.map(({ message, span }) => `"${message}" on line ${lineOf(text, span)}`);
  return `${found.length} findings${said.length > 0 ? `: ${said.join(", ")}` : ""}`;
}

function places(text: string, spans: readonly Span[]): string[] {
  return spans.map((span) => `${text.slice(span.start, span.end)} on line ${lineOf(text, span)}`);
}

function lineOf(text: string, { start }: Span): number {
  return new LineIndex(text).place(start).line;
}

function expectedLines(text: string, id: string): string[] {
  return text
    .split(/\r\n|\n|\r/)
    .flatMap((line, i) => (line.includes(`<!-- expect ${id} -->`) ? [`line ${i + 1}`] : []));
}
