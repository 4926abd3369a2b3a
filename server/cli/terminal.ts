/** Where a command reads from and writes to. */
export interface Terminal {
  /** Results: standard output. */
  out(text: string | Uint8Array): void;
  /** Everything said beside the results: standard error. */
  err(text: string): void;
  /** All of standard input. */
  readInput(): Promise<Uint8Array>;
}

/** The terminal of this process. A reader that went away is no error: what follows is dropped. */
export function processTerminal(): Terminal {
  return {
    out: quietWriter(process.stdout),
    err: quietWriter(process.stderr),
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
