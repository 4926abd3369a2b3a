import { stat } from "node:fs/promises";
import { InputError } from "../../../shared/text/problem.ts";

/** One of several calls that check a collection together. */
export interface Shard {
  /** From 1. */
  readonly index: number;
  readonly of: number;
}

/**
 * Reads the value of `--shard`: `2/5`.
 * @throws InputError when it is none.
 */
export function readShard(text: string): Shard {
  const [, index, of] = /^(\d{1,3})\/(\d{1,3})$/.exec(text) ?? [];
  const shard = { index: Number(index), of: Number(of) };
  if (!(shard.index >= 1 && shard.index <= shard.of)) {
    throw new InputError(
      `--shard ${text} is no share. Write --shard 1/4 to 4/4 for the four shares of four calls.`,
    );
  }
  return shard;
}

/**
 * The numbers of the files that a shard checks, in order: the largest file goes to the shard that has the least so far,
 * then the next one. Every shard that sees the same files comes to the same shares.
 *
 * @param sizes sizes[i] is how much work file i is.
 */
export function filesOfShard(sizes: readonly number[], { index, of }: Shard): number[] {
  const loads = new Array<number>(of).fill(0);
  const own: number[] = [];
  const largestFirst = sizes.map((_, i) => i).sort((a, b) => sizes[b]! - sizes[a]! || a - b);
  for (const file of largestFirst) {
    const least = loads.indexOf(Math.min(...loads));
    // What it takes to open a file counts too, and deals out empty ones.
    loads[least]! += sizes[file]! + openingBytes;
    if (least === index - 1) own.push(file);
  }
  return own.sort((a, b) => a - b);
}

/** Opening a file takes about as long as checking so much of one: an estimate. */
const openingBytes = 2000;

/** The sizes of files, in bytes; 0 for what cannot be asked. Compressed scores count for what they hold. */
export function sizesOf(paths: readonly string[]): Promise<number[]> {
  return Promise.all(
    paths.map(async (path) => {
      const nature = await stat(path).catch(() => undefined);
      return (nature?.size ?? 0) * (/\.mxl$/i.test(path) ? compression : 1);
    }),
  );
}

/** How much smaller scores become in a container: an estimate from real ones. */
const compression = 20;
