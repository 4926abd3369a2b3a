import { Worker } from "node:worker_threads";
import { InputError } from "../../shared/text/problem.ts";
import { type Answer, type FoundEdits, type Question, type Stage, threadMark } from "./threadWork.ts";

/** What whoever asked for edits sees of the work, and can do about it. */
export interface EditWork {
  /** Called with what is being done. */
  readonly stage: (stage: string) => void;
  /** Calls its argument when the edits are not wanted any more. */
  readonly onCancelled: (end: () => void) => void;
}

interface Job {
  readonly question: Question;
  readonly work: EditWork;
  resolve(found: FoundEdits | undefined): void;
  reject(error: Error): void;
}

/**
 * Finds the edits of commands beside the message loop, one command after the other. A command that is called off ends
 * at once, and its thread with it.
 */
export class EditThread {
  readonly #file: string;
  readonly #idleMs: number;
  #waiting: Job[] = [];
  #current: Job | undefined;
  #worker: Worker | undefined;
  #idle: NodeJS.Timeout | undefined;

  /**
   * @param file   of the bundle that calls `runWorkThread` when it is loaded in a thread.
   * @param idleMs how long a thread waits for another command.
   */
  constructor(file: string, idleMs = 5_000) {
    this.#file = file;
    this.#idleMs = idleMs;
  }

  /** Whether a thread is there. */
  get isRunning(): boolean {
    return this.#worker !== undefined;
  }

  /**
   * @returns the edits, which change nothing but fingering and brackets; undefined when the work was called off.
   * @throws InputError when there is nothing to do it with, or when something else would change.
   */
  run(question: Question, work: EditWork): Promise<FoundEdits | undefined> {
    return new Promise((resolve, reject) => {
      const job: Job = { question, work, resolve, reject };
      work.onCancelled(() => this.#callOff(job));
      this.#waiting.push(job);
      this.#next();
    });
  }

  #callOff(job: Job): void {
    this.#waiting = this.#waiting.filter((other) => other !== job);
    if (this.#current === job) {
      this.#current = undefined;
      this.#end();
    }
    job.resolve(undefined);
    this.#next();
  }

  #next(): void {
    if (this.#current) return;
    clearTimeout(this.#idle);
    this.#current = this.#waiting.shift();
    if (this.#current) {
      this.#worker ??= this.#start();
      this.#worker.postMessage(this.#current.question);
    } else if (this.#worker) {
      this.#idle = setTimeout(() => this.#end(), this.#idleMs).unref();
    }
  }

  #end(): void {
    const worker = this.#worker;
    this.#worker = undefined;
    void worker?.terminate();
  }

  #start(): Worker {
    const worker = new Worker(this.#file, { workerData: threadMark });
    // The server ends when its editor is done, whatever is being looked for.
    worker.unref();
    worker.on("message", (message: Answer | Stage) => {
      if (this.#worker !== worker) return;
      if ("stage" in message) this.#current?.work.stage(message.stage);
      else this.#settle((job) => answer(job, message));
    });
    let why = "it was ended";
    worker.on("error", (error) => {
      why = String(error);
    });
    worker.on("exit", () => {
      if (this.#worker !== worker) return;
      this.#worker = undefined;
      this.#settle((job) => job.reject(new Error(`the thread that looked for edits ended: ${why}`)));
    });
    return worker;
  }

  #settle(settle: (job: Job) => void): void {
    const job = this.#current;
    this.#current = undefined;
    if (job) settle(job);
    this.#next();
  }
}

function answer(job: Job, message: Answer): void {
  if ("edits" in message) job.resolve(message);
  else if ("refused" in message) job.reject(new InputError(message.refused));
  else job.reject(new Error("trouble" in message ? message.trouble : "the thread answered something else"));
}
