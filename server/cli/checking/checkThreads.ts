import { isMainThread, parentPort, Worker, workerData } from "node:worker_threads";
import { type CheckedScore, checkScore, faultyCheck, type ScoreToCheck } from "./checkScore.ts";

/** Tells the bundle, which is loaded in the thread too, what it is there for. */
const threadMark = "placewright check thread";

/** True where this bundle was loaded to check scores, and not to be a command line. */
export function isCheckThread(): boolean {
  return !isMainThread && workerData === threadMark;
}

/** Checks what it is sent until the thread is ended. Answers are JSON, as they are kept. */
export function runCheckThread(): void {
  parentPort!.on("message", (score: ScoreToCheck) =>
    parentPort!.postMessage(JSON.stringify(checkScore(score))),
  );
}

interface Job {
  readonly score: ScoreToCheck;
  done(json: string): void;
}

/** Threads that check scores, one score each at a time. A thread that ends over a score is started again. */
export class CheckThreads {
  readonly #file: string;
  readonly #most: number;
  readonly #idle: Worker[] = [];
  readonly #busy = new Map<Worker, Job>();
  readonly #waiting: Job[] = [];

  /**
   * @param file of the bundle that calls `runCheckThread` when it is loaded in a thread.
   * @param most threads at a time; each is started when there is work for it.
   */
  constructor(file: string, most: number) {
    this.#file = file;
    this.#most = most;
  }

  /** What `checkScore` finds, as JSON. Never rejects. */
  check(score: ScoreToCheck): Promise<string> {
    return new Promise((done) => {
      this.#waiting.push({ score, done });
      this.#next();
    });
  }

  async end(): Promise<void> {
    await Promise.all([...this.#idle, ...this.#busy.keys()].map((worker) => worker.terminate()));
  }

  #next(): void {
    if (this.#waiting.length === 0) return;
    const worker = this.#idle.pop() ?? (this.#busy.size < this.#most ? this.#start() : undefined);
    if (!worker) return;
    const job = this.#waiting.shift()!;
    this.#busy.set(worker, job);
    worker.postMessage(job.score);
  }

  #start(): Worker {
    const worker = new Worker(this.#file, { workerData: threadMark });
    worker.on("message", (json: string) => {
      const job = this.#busy.get(worker);
      this.#busy.delete(worker);
      this.#idle.push(worker);
      job?.done(json);
      this.#next();
    });
    worker.on("error", (error) => this.#lost(worker, error.message));
    worker.on("exit", () => this.#lost(worker, "its thread ended"));
    return worker;
  }

  #lost(worker: Worker, why: string): void {
    const job = this.#busy.get(worker);
    this.#busy.delete(worker);
    const at = this.#idle.indexOf(worker);
    if (at >= 0) this.#idle.splice(at, 1);
    job?.done(JSON.stringify(faultyCheck(job.score.path, why) satisfies CheckedScore));
    this.#next();
  }
}
