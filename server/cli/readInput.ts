import { decodeScoreFile, encodeScoreFile, type ScoreFile } from "../../shared/musicxml/scoreFile.ts";
import { readScoreFile } from "../files/readScoreFile.ts";
import type { Terminal } from "./terminal.ts";

/** The name that stands for standard input on the command line. */
export const standardInput = "-";

/** A score's text, and the way back to its bytes. */
export interface InputScore {
  /** As messages show it: the path as given, or `<stdin>`. */
  readonly name: string;
  /** As read. */
  readonly bytes: Uint8Array;
  readonly text: string;
  /** What was assumed about the file, in sentences. */
  readonly notes: readonly string[];
  /**
   * The bytes of a changed text, stored as the file was: same encoding, same container.
   * @throws InputError when the encoding has no byte for a character of the text.
   */
  encode(text: string): Uint8Array;
}

/**
 * Reads a score from a file or from standard input.
 * @throws InputError when there is no such file or it cannot be read.
 */
export async function readInput(path: string, terminal: Terminal): Promise<InputScore> {
  const fromInput = path === standardInput;
  const file: ScoreFile = fromInput ? decodeScoreFile(await terminal.readInput()) : await readScoreFile(path);
  return {
    name: fromInput ? "<stdin>" : path,
    bytes: file.bytes,
    text: file.text,
    notes: file.notes,
    encode: (text) => encodeScoreFile(file, text),
  };
}
