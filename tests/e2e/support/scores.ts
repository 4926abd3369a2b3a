import { execFileSync } from "node:child_process";
import { randomBytes } from "node:crypto";
import { mkdirSync, readFileSync, renameSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { builtFile } from "../../support/built.ts";
import { dataFolder } from "./workbench.ts";

/** A finding as the command line tells it; places from 1. */
export interface Finding {
  readonly rule: string;
  readonly message: string;
  readonly bar: string;
  readonly range: { readonly start: { readonly line: number; readonly column: number } };
  readonly fixes: readonly { readonly title: string }[];
}

/** A folder of scores that the workbench works in. */
export class Folder {
  readonly path: string;

  constructor(name: string) {
    this.path = join(dataFolder, name);
    mkdirSync(this.path, { recursive: true });
  }

  file(name: string): string {
    return join(this.path, name);
  }

  bytes(name: string): Buffer {
    return readFileSync(this.file(name));
  }

  text(name: string): string {
    return readFileSync(this.file(name), "utf8");
  }

  /** Saves a file as notation programs do: beside it, and then into its place. */
  write(name: string, content: string | Uint8Array): void {
    const beside = this.file(`.${name}.${randomBytes(4).toString("hex")}`);
    writeFileSync(beside, content);
    renameSync(beside, this.file(name));
  }

  /** Settings of the editor's that count in this folder. */
  editorSettings(settings: Readonly<Record<string, unknown>>): void {
    mkdirSync(this.file(".vscode"), { recursive: true });
    writeFileSync(join(this.file(".vscode"), "settings.json"), JSON.stringify(settings));
  }

  /** What the command line finds in a file as it is stored. */
  findings(name: string): readonly Finding[] {
    let output: string;
    try {
      output = execFileSync(
        process.execPath,
        [builtFile("cli.cjs"), "check", this.file(name), "--format", "json"],
        {
          encoding: "utf8",
          stdio: ["ignore", "pipe", "ignore"],
        },
      );
    } catch (error) {
      // It ends with 1 when something was found.
      output = (error as { readonly stdout: string }).stdout;
    }
    return (JSON.parse(output) as { files: { findings: Finding[] }[] }).files[0]!.findings;
  }
}

/** The line and the column of an offset, from 1. */
export function placeAt(text: string, offset: number): { line: number; column: number } {
  const before = text.slice(0, offset).split("\n");
  return { line: before.length, column: before.at(-1)!.length + 1 };
}

/** Where a line begins, counted from 1. */
export function offsetOfLine(text: string, line: number): number {
  return (
    text
      .split("\n")
      .slice(0, line - 1)
      .join("\n").length + 1
  );
}
