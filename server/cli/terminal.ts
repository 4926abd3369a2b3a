/** Where a command reads from and writes to. */
export interface Terminal {
  /** Results: standard output. */
  out(text: string | Uint8Array): void;
  /** Everything said beside the results: standard error. */
  err(text: string): void;
  /** All of standard input. */
  readInput(): Promise<Uint8Array>;
  /** Shows how far the work is, in a line that goes when anything else is said; undefined where nobody watches. */
  readonly progress?: (line: string) => void;
  /** The file of the running program, which can be loaded in threads; undefined where there is none. */
  readonly program?: string;
}

/** The running program, for what is loaded from beside it. @throws Error when it is not built. */
export function programOf({ program }: Terminal): string {
  if (program === undefined) throw new Error("only the built program can engrave: npm run build");
  return program;
}

/** The terminal of this process. A reader that went away is no error: what follows is dropped. */
export function processTerminal(program: string): Terminal {
  const out = quietWriter(process.stdout);
  const err = quietWriter(process.stderr);
  let shown = false;
  const clear = (): void => {
    if (shown) err("\r\u001b[2K");
    shown = false;
  };
  return {
    program,
    out(text) {
      clear();
      out(text);
    },
    err(text) {
      clear();
      err(text);
    },
    progress: process.stderr.isTTY
      ? (line) => {
          clear();
          err(line.slice(0, Math.max(10, process.stderr.columns - 1)));
          shown = line !== "";
        }
      : undefined,
    async readInput() {
      const chunks: Uint8Array[] = [];
      for await (const chunk of process.stdin) chunks.push(chunk as Uint8Array);
      return Buffer.concat(chunks);
    },
  };
}

function quietWriter(stream: NodeJS.WriteStream): (text: string | Uint8Array) => void {
  let gone = false;
  stream.on("error", (error: NodeJS.ErrnoException) => {
    if (error.code !== "EPIPE") throw error;
    gone = true;
  });
  return (text) => {
    if (!gone) stream.write(text);
  };
}
