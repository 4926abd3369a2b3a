import { readFile } from "node:fs/promises";
import { decodeScoreFile, type ScoreFile } from "../../shared/musicxml/scoreFile.ts";
import { InputError } from "../../shared/text/problem.ts";
import { fileTrouble } from "./fileTrouble.ts";

/**
 * Reads a score from a file, compressed or not, in the encoding that its bytes show.
 * @throws InputError when there is no such file or it cannot be read.
 */
export async function readScoreFile(path: string): Promise<ScoreFile> {
  let bytes: Uint8Array;
  try {
    bytes = await readFile(path);
  } catch (error) {
    throw new InputError(fileTrouble(error, path));
  }
  return decodeScoreFile(bytes);
}
