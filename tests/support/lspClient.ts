import { type ChildProcessWithoutNullStreams, spawn } from "node:child_process";
import { builtFile } from "./built.ts";

/** What a server answered instead of a result. */
export class LspError extends Error {
  override readonly name = "LspError";
  readonly code: number;

  constructor(code: number, message: string) {
    super(message);
    this.code = code;
  }
}

/** A message from the server that is no answer. */
export interface Incoming {
  readonly method: string;
  readonly params: unknown;
}

interface Message {
  readonly id?: number | string | null;
  readonly method?: string;
  readonly params?: unknown;
  readonly result?: unknown;
  readonly error?: { readonly code: number; readonly message: string };
}

interface Waiting {
  readonly fits: (message: Incoming) => boolean;
  readonly resolve: (message: Incoming) => void;
}

const patienceMs = 45_000;

/**
 * Speaks JSON-RPC with the built language server over its standard streams. Written for the tests, so that the server
 * is not checked with the library that it is made of.
 * Source: Language Server Protocol 3.17, base protocol.
 */
export class LspClient {
  /** All notifications that came, in order. */
  readonly received: Incoming[] = [];
  readonly exited: Promise<number | null>;
  /** Answers to the server's own requests. Without one the server is told that the method is unknown. */
  readonly answers = new Map<string, (params: unknown) => unknown>();
  readonly #process: ChildProcessWithoutNullStreams;
  readonly #pending = new Map<number, { resolve(value: unknown): void; reject(error: Error): void }>();
  #waiting: Waiting[] = [];
  #buffer = Buffer.alloc(0);
  #lastId = 0;
  #errorOutput = "";

  constructor(args: readonly string[] = ["--stdio"]) {
    this.#process = spawn(process.execPath, [builtFile("server.cjs"), ...args]);
    this.#process.stdout.on("data", (data: Buffer) => this.#take(data));
    this.#process.stderr.on("data", (data: Buffer) => {
      this.#errorOutput += data.toString();
    });
    this.exited = new Promise((resolve) => {
      this.#process.on("exit", (code) => {
        for (const { reject } of this.#pending.values()) reject(new Error("the server ended"));
        resolve(code);
      });
    });
  }

  get processId(): number {
    return this.#process.pid!;
  }

  /** What the server wrote where it should write nothing. */
  get errorOutput(): string {
    return this.#errorOutput;
  }

  request<R>(method: string, params: unknown): Promise<R> {
    this.#lastId += 1;
    const id = this.#lastId;
    const answer = new Promise<R>((resolve, reject) => {
      this.#pending.set(id, { resolve: resolve as (value: unknown) => void, reject });
    });
    this.#send({ id, method, params });
    return withPatience(answer, `an answer to ${method}`);
  }

  notify(method: string, params: unknown): void {
    this.#send({ method, params });
  }

  /** Sends bytes as they are. */
  sendRaw(bytes: string): void {
    this.#process.stdin.write(bytes);
  }

  /** The first notification that fits, among those that came since the call. */
  next(fits: (message: Incoming) => boolean, what: string): Promise<Incoming> {
    const arrival = new Promise<Incoming>((resolve) => {
      this.#waiting.push({ fits, resolve });
    });
    return withPatience(arrival, what);
  }

  /** Ends the session as the protocol wants it. @returns the exit code. */
  async stop(): Promise<number | null> {
    await this.request("shutdown", null);
    this.notify("exit", null);
    return withPatience(this.exited, "the server to end");
  }

  /** Ends the process whatever state it is in. */
  kill(): void {
    this.#process.kill();
  }

  #send(message: Message): void {
    const body = JSON.stringify({ jsonrpc: "2.0", ...message });
    this.#process.stdin.write(`Content-Length: ${Buffer.byteLength(body)}\r\n\r\n${body}`);
  }

  #take(data: Buffer): void {
    this.#buffer = Buffer.concat([this.#buffer, data]);
    for (;;) {
      const headerEnd = this.#buffer.indexOf("\r\n\r\n");
      if (headerEnd < 0) return;
      const length = Number(
        /content-length: *(\d+)/i.exec(this.#buffer.toString("ascii", 0, headerEnd))?.[1],
      );
      const bodyStart = headerEnd + 4;
      if (this.#buffer.length < bodyStart + length) return;
      const body = this.#buffer.toString("utf8", bodyStart, bodyStart + length);
      this.#buffer = this.#buffer.subarray(bodyStart + length);
      this.#receive(JSON.parse(body) as Message);
    }
  }

  #receive(message: Message): void {
    if (message.method === undefined) {
      const pending = this.#pending.get(message.id as number);
      this.#pending.delete(message.id as number);
      if (message.error) pending?.reject(new LspError(message.error.code, message.error.message));
      else pending?.resolve(message.result);
      return;
    }
    if (message.id !== undefined) {
      const answer = this.answers.get(message.method);
      if (answer) this.#send({ id: message.id, result: answer(message.params) });
      else this.#send({ id: message.id, error: { code: -32601, message: `no ${message.method} here` } });
      return;
    }
    const incoming = { method: message.method, params: message.params };
    this.received.push(incoming);
    const fitting = this.#waiting.filter(({ fits }) => fits(incoming));
    this.#waiting = this.#waiting.filter((waiting) => !fitting.includes(waiting));
    for (const { resolve } of fitting) resolve(incoming);
  }
}

async function withPatience<T>(promise: Promise<T>, what: string): Promise<T> {
  let timer: NodeJS.Timeout | undefined;
  const late = new Promise<never>((_, reject) => {
    timer = setTimeout(() => reject(new Error(`waited ${patienceMs} ms for ${what}`)), patienceMs);
  });
  try {
    return await Promise.race([promise, late]);
  } finally {
    clearTimeout(timer);
  }
}
