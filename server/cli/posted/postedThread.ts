import { join } from "node:path";
import { Worker } from "node:worker_threads";
import { namedProfiles } from "../../../shared/fingering/profile.ts";
import { InputError } from "../../../shared/text/problem.ts";
import type { FoundSettings } from "../../files/settingsFiles.ts";
import type { ScoreChoices, ScoreQuestion, ScoreWork } from "../../view/scoreWork.ts";
import type { CheckedFile } from "../formats/checked.ts";
import { fileJson } from "../formats/checkJson.ts";
import type { HouseCheck } from "../houseCheck.ts";
import type { CallSettings } from "../settingsOf.ts";
import { type PostedAnswer, type PostedWork, postedThreadOptions } from "./postedWork.ts";

export interface PostedOptions {
  /** The bundle that calls `runPostedThread` when it is loaded in a thread. */
  readonly program: string;
  /** The folder whose settings count. */
  readonly folder: string;
  readonly settings: CallSettings;
  readonly house: HouseCheck;
  /** What house rules were switched off since this was last asked. */
  readonly takeTroubles: () => readonly CheckedFile[];
  /** How long the work on one score may take, in milliseconds. */
  readonly workMs?: number;
}

const usualWorkMs = 120_000;

interface Job {
  readonly work: PostedWork;
  resolve(answer: PostedAnswer): void;
  reject(error: Error): void;
}

/** Works on posted scores in a thread, one after the other. What nobody waits for any more is dropped. */
export class PostedThread implements ScoreWork {
  readonly #options: PostedOptions;
  readonly #workMs: number;
  readonly #waiting: Job[] = [];
  #current: Job | undefined;
  #worker: Worker | undefined;
  #timer: NodeJS.Timeout | undefined;

  constructor(options: PostedOptions) {
    this.#options = options;
    this.#workMs = options.workMs ?? usualWorkMs;
  }

  async answer(question: ScoreQuestion, signal: AbortSignal): Promise<string | Uint8Array> {
    const { house, settings, takeTroubles } = this.#options;
    const found = this.#found(question.choices);
    const { faulty } = settings;
    if (question.does === "finger") {
      refuseFaulty(faulty);
      const answer = await this.#ask({ question, settings: found.settings }, signal);
      if (!("fingered" in answer)) throw faultOf(answer);
      return answer.fingered;
    }
    const withHouse = await house.settingsWith(found, question.bytes);
    const answer = await this.#ask({ question, settings: withHouse }, signal);
    if (!("checked" in answer)) throw faultOf(answer);
    const beside = [...faulty, ...takeTroubles()].map(fileJson);
    return JSON.stringify({ version: 1, files: [answer.checked, ...beside] });
  }

  async end(): Promise<void> {
    for (const { reject } of this.#waiting.splice(0)) reject(new InputError("The server has stopped."));
    await this.#stop("The server has stopped.");
  }

  /** As for a score of the folder that no entry names. */
  #found({ part, profile }: ScoreChoices): FoundSettings {
    const found = this.#options.settings.foundFor(join(this.#options.folder, "posted.musicxml"));
    const own = {
      ...(part === undefined ? {} : { part }),
      ...(profile === undefined ? {} : { profile: namedProfiles[profile] }),
    };
    return { ...found, settings: { ...found.settings, ...own } };
  }

  #ask(work: PostedWork, gone: AbortSignal): Promise<PostedAnswer> {
    return new Promise((resolve, reject) => {
      const job: Job = { work, resolve, reject };
      const drop = (): void => {
        const at = this.#waiting.indexOf(job);
        if (at >= 0) this.#waiting.splice(at, 1);
        if (this.#current === job) void this.#stop("Nobody waits for the answer any more.");
        else reject(new InputError("Nobody waits for the answer any more."));
      };
      if (gone.aborted) return drop();
      gone.addEventListener("abort", drop, { once: true });
      this.#waiting.push(job);
      this.#next();
    });
  }

  #next(): void {
    if (this.#current) return;
    const job = this.#waiting.shift();
    if (!job) {
      this.#worker?.unref();
      return;
    }
    this.#current = job;
    this.#worker ??= this.#start();
    this.#worker.ref();
    const late = `The score took longer than ${this.#workMs / 1000} seconds, and was given up.`;
    this.#timer = setTimeout(() => void this.#stop(late), this.#workMs);
    this.#worker.postMessage(job.work);
  }

  #start(): Worker {
    const worker = new Worker(this.#options.program, postedThreadOptions);
    worker.on("message", (answer: PostedAnswer) => {
      if (this.#worker === worker) this.#settle((job) => job.resolve(answer));
    });
    let why: string | undefined;
    worker.on("error", (error: NodeJS.ErrnoException) => {
      why =
        error.code === "ERR_WORKER_OUT_OF_MEMORY" ? "The score needs more memory than there is." : undefined;
    });
    worker.on("exit", () => {
      if (this.#worker !== worker) return;
      this.#worker = undefined;
      this.#settle((job) =>
        job.reject(why === undefined ? new Error("the thread for scores ended") : new InputError(why)),
      );
    });
    return worker;
  }

  /** Ends the thread, and refuses what it works on. */
  async #stop(why: string): Promise<void> {
    const worker = this.#worker;
    this.#worker = undefined;
    this.#settle((job) => job.reject(new InputError(why)));
    await worker?.terminate();
  }

  #settle(settle: (job: Job) => void): void {
    clearTimeout(this.#timer);
    const job = this.#current;
    this.#current = undefined;
    if (job) settle(job);
    this.#next();
  }
}

/** @throws InputError at the first thing that is wrong in the settings. */
function refuseFaulty(faulty: readonly CheckedFile[]): void {
  for (const { path, problems } of faulty) {
    for (const { message, range } of problems)
      throw new InputError(`${path}:${range.start.line}:${range.start.column}: ${message}`);
  }
}

function faultOf(answer: PostedAnswer): Error {
  if ("refused" in answer) return new InputError(answer.refused);
  return new Error("trouble" in answer ? answer.trouble : "the thread answered something else");
}
