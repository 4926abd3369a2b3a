import { spawn } from "node:child_process";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { onTestFinished } from "vitest";
import { runCommandLine } from "../../server/cli/runCommandLine.ts";
import { builtFile } from "./built.ts";

/** What a call of the command line did. */
export interface Answer {
  readonly code: number | null;
  readonly out: string;
  readonly err: string;
}

/** Runs a call in this process. */
export async function placewright(args: readonly string[], input: string | Uint8Array = ""): Promise<Answer> {
  const out: Uint8Array[] = [];
  let err = "";
  const code = await runCommandLine(args, {
    out: (text) => out.push(Buffer.from(text)),
    err: (text) => {
      err += text;
    },
    readInput: async () => Buffer.from(input),
  });
  return { code, out: Buffer.concat(out).toString("utf8"), err };
}

/** Runs a call as a user does: the built program, in a process of its own. */
export function builtPlacewright(
  args: readonly string[],
  { input = "", cwd }: { input?: string; cwd?: string } = {},
): Promise<Answer> {
  return new Promise((resolve, reject) => {
    const child = spawn(process.execPath, [builtFile("cli.cjs"), ...args], { cwd });
    let out = "";
    let err = "";
    child.stdout.setEncoding("utf8").on("data", (text: string) => {
      out += text;
    });
    child.stderr.setEncoding("utf8").on("data", (text: string) => {
      err += text;
    });
    child.on("error", reject);
    child.on("close", (code) => resolve({ code, out, err }));
    // A program that does not read its input may close it first.
    child.stdin.on("error", () => undefined);
    child.stdin.end(input);
  });
}

/** A folder for one test, gone after it. */
export function temporaryFolder(): string {
  const folder = mkdtempSync(join(tmpdir(), "placewright-"));
  onTestFinished(() => rmSync(folder, { recursive: true, force: true }));
  return folder;
}
