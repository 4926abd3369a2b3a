import { spawn } from "node:child_process";
import { once } from "node:events";
import { createInterface } from "node:readline";
import { builtFile } from "../../support/built.ts";

/** `placewright view` as a user starts it, in a process of its own. */
export interface StartedView {
  /** As it printed it. */
  readonly address: string;
  readonly processId: number;
  /** What it has said beside the address so far. */
  said(): string;
  stop(): Promise<void>;
}

export function startView(path: string, ...args: readonly string[]): Promise<StartedView> {
  return startProgram(builtFile("cli.cjs"), path, ...args);
}

/** The same of another program than the built one: of one that is installed, say. */
export async function startProgram(
  program: string,
  path: string,
  ...args: readonly string[]
): Promise<StartedView> {
  const child = spawn(process.execPath, [program, "view", path, ...args]);
  let said = "";
  child.stderr.setEncoding("utf8").on("data", (text: string) => {
    said += text;
  });
  const [address] = (await Promise.race([
    once(createInterface(child.stdout), "line"),
    once(child, "exit").then(([code]) => {
      throw new Error(`view ended with ${code}: ${said}`);
    }),
  ])) as [string];
  return {
    address,
    processId: child.pid!,
    said: () => said,
    async stop() {
      if (child.exitCode !== null) return;
      child.kill();
      await once(child, "exit");
    },
  };
}
