import { isMainThread, parentPort, Worker, workerData } from "node:worker_threads";
import type { Finding } from "../../shared/rules/define.ts";
import { gather } from "../../shared/rules/gather.ts";
import { analyse, type Settings } from "../../shared/service/analyse.ts";
import type { Problem } from "../../shared/text/problem.ts";

/** What is found in a text, without the repairs: those are found when they are asked for. */
export interface Found {
  readonly problems: readonly Problem[];
  readonly findings: readonly Omit<Finding, "fixes">[];
}

interface Question {
  readonly text: string;
  readonly settings: Settings;
}

type Answer = { readonly found: Found } | { readonly trouble: string };

interface Job extends Question {
  readonly uri: string;
  /** A thread that ended over it is started again once. */
  attempts: number;
  resolve(found: Found | undefined): void;
  reject(error: Error): void;
}

/** Tells the bundle, which is loaded in the thread too, what it is there for. */
const threadMark = "placewright reading thread";

/** True where this bundle was loaded to read texts, and not to speak with an editor. */
export function isReadingThread(): boolean {
  return !isMainThread && workerData === threadMark;
}

/** Answers questions until the thread is ended. */
export function runReadingThread(): void {
  parentPort!.on("message", ({ text, settings }: Question) => {
    let answer: Answer;
    try {
      const { problems, findings } = analyse(text, settings);
      answer = { found: { problems, findings: gather(findings).map(({ fixes: _, ...finding }) => finding) } };
    } catch (error) {
      answer = { trouble: error instanceof Error ? (error.stack ?? error.message) : String(error) };
    }
    parentPort!.postMessage(answer);
  });
}

/**
 * Reads long texts beside the message loop, one at a time. Of each document only the newest text waits, and the
 * document that was asked about last comes first. A thread that ends, for whatever reason, is started again; one that
 * has nothing to do is ended, as it holds much memory.
 */
export class ReadingThread {
  readonly #file: string;
  readonly #waiting = new Map<string, Job>();
  #worker: Worker | undefined;
  #current: Job | undefined;
  readonly #idleMs: number;
  #idle: NodeJS.Timeout | undefined;

  /**
   * @param file   of the bundle that calls `runReadingThread` when it is loaded in a thread.
   * @param idleMs how long a thread waits for something to do.
   */
  constructor(file: string, idleMs = 30_000) {
    this.#file = file;
    this.#idleMs = idleMs;
  }

  /** Whether a thread is there. */
  get isRunning(): boolean {
    return this.#worker !== undefined;
  }

  /**
   * @returns undefined when a newer text of the same document came before its turn.
   * @throws Error when reading it failed, or ended the thread twice.
   */
  read(uri: string, question: Question): Promise<Found | undefined> {
    this.forget(uri);
    return new Promise((resolve, reject) => {
      this.#waiting.set(uri, { ...question, uri, attempts: 0, resolve, reject });
      this.#next();
    });
  }

  /** The document was closed: its text need not be read any more. */
  forget(uri: string): void {
    this.#waiting.get(uri)?.resolve(undefined);
    this.#waiting.delete(uri);
  }

  #next(): void {
    const job = [...this.#waiting.values()].at(-1);
    if (this.#current) return;
    clearTimeout(this.#idle);
    if (!job) {
      this.#idle = setTimeout(() => this.#end(), this.#idleMs).unref();
      return;
    }
    this.#waiting.delete(job.uri);
    this.#ask(job);
  }

  #end(): void {
    void this.#worker?.terminate();
    this.#worker = undefined;
  }

  #ask(job: Job): void {
    this.#current = job;
    job.attempts += 1;
    const { text, settings } = job;
    this.#worker ??= this.#start();
    this.#worker.postMessage({ text, settings } satisfies Question);
  }

  #start(): Worker {
    const worker = new Worker(this.#file, { workerData: threadMark });
    // The server ends when its editor is done, whatever is being read.
    worker.unref();
    worker.on("message", (answer: Answer) => {
      const job = this.#current;
      this.#current = undefined;
      if ("found" in answer) job?.resolve(answer.found);
      else job?.reject(new Error(answer.trouble));
      this.#next();
    });
    let why = "it was ended";
    worker.on("error", (error) => {
      why = String(error);
    });
    worker.on("exit", () => {
      if (this.#worker !== worker) return;
      this.#worker = undefined;
      const job = this.#current;
      this.#current = undefined;
      if (job && job.attempts < 2) this.#ask(job);
      else job?.reject(new Error(`the thread that reads ${job.uri} ended: ${why}`));
      if (!this.#current) this.#next();
    });
    return worker;
  }
}
