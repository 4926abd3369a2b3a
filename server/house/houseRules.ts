import { statSync } from "node:fs";
import { Worker } from "node:worker_threads";
import { type HouseFinding, type HouseRulePage, readHouseFindings } from "../../shared/rules/house.ts";
import type { Settings } from "../../shared/service/settings.ts";
import {
  type HouseAnswer,
  type HouseMessage,
  type HouseModule,
  type HouseQuestion,
  type HouseStage,
  houseThreadMark,
  nameOfRule,
} from "./houseThread.ts";

/** What is wrong with a module of house rules, or with one of its rules, which is switched off. */
export interface HouseTrouble {
  readonly path: string;
  readonly rule: string | undefined;
  /** Sentences: what went wrong, and what comes of it. */
  readonly message: string;
}

/** A rule that takes longer over one score has lost its way, in milliseconds. */
const longestMs = 10_000;

/** A thread that has nothing to do for so long is ended. */
const idleMs = 30_000;

/** A rule that needs more memory has, too. */
const resourceLimits = { maxOldGenerationSizeMb: 1024 };

/** What was asked, and what has come in so far. */
interface Job {
  readonly question: Omit<HouseQuestion, "off">;
  found: HouseFinding[];
  pages: HouseRulePage[];
  resolve(job: Job): void;
}

/**
 * Runs house rules in a thread of their own, one score after the other. The thread reads the score itself; what it sends
 * is checked before it is believed. What throws, takes too long, ends the thread or finds nonsense is told once, and is
 * switched off until its module is saved anew; all others go on.
 */
export class HouseRules {
  readonly #bundle: string;
  readonly #onTrouble: (trouble: HouseTrouble) => void;
  readonly #longestMs: number;
  readonly #waiting: Job[] = [];
  /** By path or `nameOfRule`: what is switched off, and of which module. */
  readonly #off = new Map<string, HouseModule>();
  #current: Job | undefined;
  #worker: Worker | undefined;
  #running: HouseStage["running"];
  #timer: NodeJS.Timeout | undefined;
  #idle: NodeJS.Timeout | undefined;

  /**
   * @param bundle    the file that calls `runHouseThread` when it is loaded in a thread.
   * @param onTrouble is told of everything that is switched off, once.
   */
  constructor(bundle: string, onTrouble: (trouble: HouseTrouble) => void, ruleMs = longestMs) {
    this.#bundle = bundle;
    this.#onTrouble = onTrouble;
    this.#longestMs = ruleMs;
  }

  /** What the rules of modules find in a score. Never rejects. */
  async find(paths: readonly string[], text: string, settings: Settings): Promise<readonly HouseFinding[]> {
    if (paths.length === 0) return [];
    return (await this.#ask(paths, { text, settings })).found;
  }

  /** What the rules of modules are. Never rejects. */
  async pages(paths: readonly string[]): Promise<readonly HouseRulePage[]> {
    if (paths.length === 0) return [];
    return (await this.#ask(paths)).pages;
  }

  /** Ends the thread. */
  async end(): Promise<void> {
    clearTimeout(this.#idle);
    await this.#stop();
  }

  #ask(paths: readonly string[], score?: HouseQuestion["score"]): Promise<Job> {
    const modules = [...new Set(paths)].map((path): HouseModule => ({ path, stamp: stampOf(path) }));
    return new Promise((resolve) => {
      this.#waiting.push({ question: { modules, score }, found: [], pages: [], resolve });
      this.#next();
    });
  }

  #next(): void {
    if (this.#current) return;
    clearTimeout(this.#idle);
    this.#current = this.#waiting.shift();
    if (this.#current) {
      this.#send(this.#current);
    } else {
      this.#worker?.unref();
      this.#idle = setTimeout(() => void this.#stop(), idleMs).unref();
    }
  }

  #send(job: Job): void {
    job.found = [];
    job.pages = [];
    const { modules } = job.question;
    const stamps = new Map(modules.map(({ path, stamp }) => [path, stamp]));
    for (const [name, { path, stamp }] of this.#off) {
      if (stamps.has(path) && stamps.get(path) !== stamp) this.#off.delete(name);
    }
    this.#worker ??= this.#start();
    this.#worker.ref();
    this.#worker.postMessage({ ...job.question, off: [...this.#off.keys()] } satisfies HouseQuestion);
  }

  #start(): Worker {
    // What rules print must not get among what the program says.
    const worker = new Worker(this.#bundle, {
      workerData: houseThreadMark,
      resourceLimits,
      stdout: true,
      stderr: true,
    });
    worker.stdout.on("data", (chunk: Buffer) => process.stderr.write(chunk));
    worker.stderr.on("data", (chunk: Buffer) => process.stderr.write(chunk));
    worker.on("message", (message: HouseMessage) => {
      if (this.#worker === worker) this.#take(message);
    });
    let why = "It ended the thread that it runs in";
    worker.on("error", (error) => {
      why = `It threw an error outside its check: ${error instanceof Error ? error.message : String(error)}`;
    });
    worker.on("exit", () => {
      if (this.#worker !== worker) return;
      this.#worker = undefined;
      this.#lost(why);
    });
    return worker;
  }

  async #stop(): Promise<void> {
    const worker = this.#worker;
    this.#worker = undefined;
    clearTimeout(this.#timer);
    await worker?.terminate();
  }

  #take(message: HouseMessage): void {
    const job = this.#current;
    if (!job) return;
    if ("running" in message) {
      clearTimeout(this.#timer);
      this.#running = message.running;
      if (message.running) {
        const limit = `It did not come to an end within ${this.#longestMs / 1000} seconds`;
        this.#timer = setTimeout(() => void this.#stop().then(() => this.#lost(limit)), this.#longestMs);
      }
    } else if ("done" in message) {
      this.#current = undefined;
      job.resolve(job);
      this.#next();
    } else {
      this.#takeAnswer(job, message);
    }
  }

  #takeAnswer(job: Job, answer: HouseAnswer): void {
    if ("trouble" in answer) {
      this.#switchOff(job, answer.path, answer.rule, answer.trouble);
    } else if ("page" in answer) {
      job.pages.push(answer.page);
    } else {
      try {
        job.found.push(...readHouseFindings(answer.found, job.question.score?.text ?? "", answer.rule));
      } catch (error) {
        this.#switchOff(job, answer.path, answer.rule, (error as Error).message);
      }
    }
  }

  /** The thread is gone: what ran in it is switched off, and the rest is asked again. */
  #lost(why: string): void {
    clearTimeout(this.#timer);
    const job = this.#current;
    const running = this.#running;
    this.#running = undefined;
    if (!job) return;
    if (running) this.#switchOff(job, running.path, running.rule, why);
    else for (const { path } of job.question.modules) this.#switchOff(job, path, undefined, why);
    this.#send(job);
  }

  #switchOff(job: Job, path: string, rule: string | undefined, why: string): void {
    const name = rule === undefined ? path : nameOfRule(path, rule);
    const module = job.question.modules.find((each) => each.path === path);
    if (!module || this.#off.has(name)) return;
    this.#off.set(name, module);
    const what = rule === undefined ? "These house rules are" : `The house rule ${rule} is`;
    this.#onTrouble({ path, rule, message: `${what} switched off. ${sentence(why)}` });
  }
}

function sentence(words: string): string {
  const [first = "", ...rest] = words;
  const capital = /^(it|its|a|an|the|what) /.test(words) ? first.toUpperCase() : first;
  return `${capital}${rest.join("")}${/[.!?]$/.test(words) ? "" : "."}`;
}

/** Changes when a file does. */
export function stampOf(path: string): string {
  const nature = statSync(path, { throwIfNoEntry: false });
  return nature ? `${nature.mtimeMs} ${nature.size} ${nature.ino}` : "missing";
}
