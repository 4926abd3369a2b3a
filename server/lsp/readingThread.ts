import { Worker } from "node:worker_threads";
import type { Solution } from "../../shared/fingering/model.ts";
import {
  type Answer,
  type Found,
  GivenUp,
  type Question,
  type ScoreText,
  threadMark,
  type Work,
} from "./threadWork.ts";

/** What a reading leaves behind is thrown away at once then, instead of being moved about. */
const resourceLimits = { maxYoungGenerationSizeMb: 64 };

/** What a thread is for, and what it takes from the answers. */
export interface Reader<T> {
  readonly work: Work;
  readonly resultOf: (answer: Answer) => T | undefined;
}

/** Finds what there is to say about texts. */
export const finding: Reader<Found> = {
  work: { does: "find" },
  resultOf: (answer) => ("found" in answer ? answer.found : undefined),
};

/** Searches for the fingering that is proposed beside a score. */
export const proposing: Reader<readonly Solution[]> = {
  work: { does: "propose" },
  resultOf: (answer) => ("proposals" in answer ? answer.proposals : undefined),
};

interface Job<T> extends ScoreText {
  /** A thread that ended over it is started again once. */
  attempts: number;
  /** Tells the thread that nobody waits for it any more. */
  readonly given: GivenUp;
  resolve(found: T | undefined): void;
  reject(error: Error): void;
}

/**
 * Reads long texts beside the message loop, one at a time. Of each document only the newest text waits, an older one
 * that is being read is given up for it, and the document that was asked about last comes first. A thread that ends, for
 * whatever reason, is started again; one that has nothing to do is ended, as it holds much memory.
 */
export class ReadingThread<T = Found> {
  readonly #file: string;
  readonly #reader: Reader<T>;
  readonly #waiting = new Map<string, Job<T>>();
  #worker: Worker | undefined;
  #current: Job<T> | undefined;
  /** The last one that was answered: the thread may be reading its text again, to be quicker with the next one. */
  #answered: Job<T> | undefined;
  readonly #idleMs: number;
  #idle: NodeJS.Timeout | undefined;

  /**
   * @param file   of the bundle that calls `runWorkThread` when it is loaded in a thread.
   * @param reader what it is for.
   * @param idleMs how long a thread waits for something to do.
   */
  constructor(file: string, reader: Reader<T>, idleMs = 60_000) {
    this.#file = file;
    this.#reader = reader;
    this.#idleMs = idleMs;
  }

  /** Whether a thread is there. */
  get isRunning(): boolean {
    return this.#worker !== undefined;
  }

  /**
   * @returns undefined when a newer text of the same document came before it was read.
   * @throws Error when reading it failed, or ended the thread twice.
   */
  read(score: ScoreText): Promise<T | undefined> {
    this.#replace(score.uri, score.text);
    return new Promise((resolve, reject) => {
      this.#waiting.set(score.uri, { ...score, attempts: 0, given: new GivenUp(), resolve, reject });
      this.#next();
    });
  }

  /** The document was closed: its text need not be read any more. */
  forget(uri: string): void {
    this.#replace(uri, undefined);
    if (this.#answered?.uri === uri) this.#answered.given.up();
  }

  #replace(uri: string, text: string | undefined): void {
    this.#waiting.get(uri)?.resolve(undefined);
    this.#waiting.delete(uri);
    if (this.#current?.uri === uri && this.#current.text !== text) this.#current.given.up();
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

  #ask(job: Job<T>): void {
    this.#answered?.given.up();
    this.#answered = undefined;
    this.#current = job;
    job.attempts += 1;
    const { uri, text, settings, given } = job;
    this.#worker ??= this.#start();
    const { work } = this.#reader;
    this.#worker.postMessage({ uri, text, settings, work, givenUp: given.shared } satisfies Question);
  }

  #start(): Worker {
    const worker = new Worker(this.#file, { workerData: threadMark, resourceLimits });
    // The server ends when its editor is done, whatever is being read.
    worker.unref();
    worker.on("message", (answer: Answer) => {
      const job = this.#current;
      this.#current = undefined;
      this.#answered = job;
      const result = this.#reader.resultOf(answer);
      if (result !== undefined || "givenUp" in answer) job?.resolve(result);
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
