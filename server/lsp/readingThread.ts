import { Worker } from "node:worker_threads";
import { type Answer, type Found, type Question, type ScoreText, threadMark } from "./threadWork.ts";

/** What a reading leaves behind is thrown away at once then, instead of being moved about. */
const resourceLimits = { maxYoungGenerationSizeMb: 64 };

interface Job extends ScoreText {
  /** A thread that ended over it is started again once. */
  attempts: number;
  resolve(found: Found | undefined): void;
  reject(error: Error): void;
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
   * @param file   of the bundle that calls `runWorkThread` when it is loaded in a thread.
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
  read(score: ScoreText): Promise<Found | undefined> {
    this.forget(score.uri);
    return new Promise((resolve, reject) => {
      this.#waiting.set(score.uri, { ...score, attempts: 0, resolve, reject });
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
    const { uri, text, settings } = job;
    this.#worker ??= this.#start();
    this.#worker.postMessage({ uri, text, settings, work: { does: "find" } } satisfies Question);
  }

  #start(): Worker {
    const worker = new Worker(this.#file, { workerData: threadMark, resourceLimits });
    // The server ends when its editor is done, whatever is being read.
    worker.unref();
    worker.on("message", (answer: Answer) => {
      const job = this.#current;
      this.#current = undefined;
      if ("found" in answer) job?.resolve(answer.found);
      else
        job?.reject(new Error("trouble" in answer ? answer.trouble : "the thread answered something else"));
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
