import { InputError } from "../text/problem.ts";
import { openContainer, type ScoreContainer } from "./container.ts";
import { decodeText, encodeText, type TextEncoding } from "./encoding.ts";
import { isZip, openZip, replaceEntry, unpack } from "./zip.ts";

/** A score file as read: its text, and what it takes to store another text in the same way. */
export interface ScoreFile {
  readonly bytes: Uint8Array;
  /** The score, decoded, without a byte order mark. */
  readonly text: string;
  readonly encoding: TextEncoding;
  /** Present when the file is a compressed score. */
  readonly container: ScoreContainer | undefined;
  /** What was assumed about the file, in sentences. */
  readonly notes: readonly string[];
}

/** The largest score that is read, in characters; the biggest orchestral works have a tenth of it. */
const longestText = 300_000_000;

/**
 * Reads the bytes of a score file. The bytes tell whether it is compressed, not its name.
 * @throws InputError for a file that cannot be read: one sentence, what to do.
 */
export function decodeScoreFile(bytes: Uint8Array): ScoreFile {
  const container = isZip(bytes) ? openContainer(bytes) : undefined;
  const content = container?.scoreBytes ?? bytes;
  if (content.length > longestText) {
    throw new InputError(
      `The score has ${Math.round(content.length / 1e6)} MB; at most ${longestText / 1e6} MB are read.`,
    );
  }
  const { text, encoding, notes } = decodeText(content);
  return { bytes, text, encoding, container, notes: [...(container?.notes ?? []), ...notes] };
}

/**
 * The file's bytes with another text in it: same encoding, same mark, same container. The result is read again and
 * compared before it is returned.
 *
 * @throws InputError when the encoding has no byte for a character of the text.
 */
export function encodeScoreFile(file: ScoreFile, text: string): Uint8Array {
  if (text === file.text) return file.bytes;
  const content = encodeText(text, file.encoding);
  if (!file.container) return content;
  const { archive, score } = file.container;
  const bytes = replaceEntry(archive, score, content);
  const written = openZip(bytes);
  const same =
    written.entries.length === archive.entries.length &&
    written.entries.every((entry, i) => entry.name === archive.entries[i]!.name);
  const entry = written.entries.find((candidate) => candidate.name === score.name);
  if (!same || !entry || !equalBytes(unpack(written, entry), content)) {
    throw new Error("the compressed score that was to be written cannot be read back");
  }
  return bytes;
}

function equalBytes(a: Uint8Array, b: Uint8Array): boolean {
  return a.length === b.length && a.every((byte, i) => byte === b[i]);
}
