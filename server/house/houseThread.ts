import { pathToFileURL } from "node:url";
import { isMainThread, parentPort, workerData } from "node:worker_threads";
import { Guard } from "../../shared/musicxml/guard.ts";
import type { Rule, RuleInput } from "../../shared/rules/define.ts";
import {
  type HouseFinding,
  type HouseRulePage,
  housePage,
  plainFinding,
  readHouseFindings,
  readHouseRule,
} from "../../shared/rules/house.ts";
import { runRules } from "../../shared/rules/runRules.ts";
import { analyse, ruleInputOf, type Settings } from "../../shared/service/analyse.ts";
import type { Edit } from "../../shared/text/edits.ts";
import { InputError } from "../../shared/text/problem.ts";
import { frozen } from "./frozen.ts";

/** A module with house rules, as it was last saved. */
export interface HouseModule {
  readonly path: string;
  /** Changes when the file does. */
  readonly stamp: string;
}

/** What is asked of the thread: what the rules are, or what they find in a score. */
export interface HouseQuestion {
  readonly modules: readonly HouseModule[];
  /** Modules and rules that are switched off, by `nameOfRule` and by paths. */
  readonly off: readonly string[];
  readonly score?: { readonly text: string; readonly settings: Settings };
}

/** Sent before anything of a module runs, so that it is known what was running when no answer comes. */
export interface HouseStage {
  /** Undefined while the program's own code runs. */
  readonly running: { readonly path: string; readonly rule?: string } | undefined;
}

/** What one rule has come to, or one module, where it could not be loaded. */
export type HouseAnswer =
  | { readonly path: string; readonly page: HouseRulePage }
  | { readonly path: string; readonly rule: string; readonly found: readonly HouseFinding[] }
  | { readonly path: string; readonly rule?: string; readonly trouble: string };

export type HouseMessage = HouseStage | HouseAnswer | { readonly done: true };

/** Tells the bundle, which is loaded in the thread too, what it is there for. */
export const houseThreadMark = "placewright house rules";

/** True where this bundle was loaded to run house rules. */
export function isHouseThread(): boolean {
  return !isMainThread && workerData === houseThreadMark;
}

/** Tells rules of different modules apart. */
export function nameOfRule(path: string, rule: string): string {
  return `${path} ${rule}`;
}

/** Answers questions, one at a time, until the thread is ended. */
export function runHouseThread(): void {
  parentPort!.on("message", (question: HouseQuestion) => {
    void answer(question).then(() => send({ done: true }));
  });
}

function send(message: HouseMessage): void {
  parentPort!.postMessage(message);
}

interface LoadedRule {
  readonly path: string;
  readonly rule: Rule;
}

async function answer({ modules, off, score }: HouseQuestion): Promise<void> {
  const rules: LoadedRule[] = [];
  for (const module of modules) {
    if (!off.includes(module.path)) rules.push(...(await rulesOf(module, rules)));
  }
  if (!score) {
    for (const { path, rule } of rules) send({ path, page: housePage(rule) });
    return;
  }
  const wanted = rules.filter(
    ({ path, rule }) =>
      !off.includes(nameOfRule(path, rule.id)) && score.settings.severity?.[rule.id] !== "off",
  );
  if (wanted.length === 0) return;
  const input = ruleInputOf(analyse(score.text, score.settings));
  if (!input) return;
  const guard = new Guard(score.text);
  const looked = frozen(input);
  for (const each of wanted) run(each, looked, guard);
}

const loaded = new Map<string, readonly Rule[]>();

/** The rules that a module exports. What cannot be used is told. */
async function rulesOf({ path, stamp }: HouseModule, before: readonly LoadedRule[]): Promise<LoadedRule[]> {
  const address = `${pathToFileURL(path).href}?${encodeURIComponent(stamp)}`;
  try {
    let rules = loaded.get(address);
    if (!rules) {
      send({ running: { path } });
      rules = readModule((await import(address)) as Record<string, unknown>);
      send({ running: undefined });
      loaded.set(address, rules);
    }
    const twice = rules.find(({ id }) => before.some(({ rule }) => rule.id === id));
    if (twice) throw new InputError(`another module has a rule ${twice.id} already`);
    return rules.map((rule) => ({ path, rule }));
  } catch (error) {
    send({ running: undefined });
    send({ path, trouble: `It could not be loaded: ${reasonOf(error)}` });
    return [];
  }
}

/** A module exports its rules one by one, or a list of them. */
function readModule(module: Record<string, unknown>): Rule[] {
  const exported = [...new Set(Object.values(module).flat())];
  const rules = exported.filter((each) => typeof each === "object" && each !== null).map(readHouseRule);
  if (rules.length === 0) throw new InputError("it exports no rule");
  return rules;
}

function run({ path, rule }: LoadedRule, input: RuleInput, guard: Guard): void {
  try {
    send({ running: { path, rule: rule.id } });
    const told = runRules(input, [atOnce(rule)]).map(plainFinding);
    const found = readHouseFindings(told, input.text, rule.id);
    send({ running: undefined });
    checkRepairs(found, guard);
    send({ path, rule: rule.id, found });
  } catch (error) {
    send({ running: undefined });
    const reason = reasonOf(error);
    const trouble = error instanceof InputError ? reason : `It threw an error: ${reason}`;
    send({ path, rule: rule.id, trouble });
  }
}

/** The rule, which has to come to an end before it returns: what it finds later, or how it fails, is known to nobody. */
function atOnce(rule: Rule): Rule {
  return {
    ...rule,
    check(input, report) {
      const returned: unknown = rule.check(input, report);
      if (!(returned instanceof Promise)) return;
      returned.catch(() => undefined);
      throw new InputError("its check is asynchronous; a check reports what it finds before it returns");
    },
  };
}

/**
 * Holds the repairs to what every edit is held to: nothing but fingering and brackets changes. Those that do not touch
 * each other are tried together, for each trial reads the score.
 * @throws InputError naming the first that changes anything else.
 */
function checkRepairs(found: readonly HouseFinding[], guard: Guard): void {
  let left = found.flatMap(({ fixes, message }) => fixes.map((fix) => ({ ...fix, message })));
  while (left.length > 0) {
    const together: Edit[] = [];
    const apart: typeof left = [];
    const tried: typeof left = [];
    for (const fix of left) {
      const clashes =
        together.length > 0 && fix.edits.some(({ span }) => span.start <= together.at(-1)!.span.end);
      if (clashes) apart.push(fix);
      else {
        together.push(...fix.edits);
        tried.push(fix);
      }
    }
    if (isRefused(guard, together) !== undefined) {
      for (const { title, message, edits } of tried) {
        const why = isRefused(guard, edits);
        if (why !== undefined) {
          throw new InputError(
            `its repair "${title}" of "${message}" would change more than fingering and brackets: ${why}`,
          );
        }
      }
    }
    left = apart;
  }
}

function isRefused(guard: Guard, edits: readonly Edit[]): string | undefined {
  try {
    guard.guardedText(edits);
    return undefined;
  } catch (error) {
    return reasonOf(error).replace(/^Nothing was written: | Please report this.*$/gs, "");
  }
}

function reasonOf(error: unknown): string {
  return error instanceof Error ? error.message : String(error);
}
