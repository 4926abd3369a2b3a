import { XMLParser } from "fast-xml-parser";
import { InputError } from "../text/problem.ts";
import { decodeText } from "./encoding.ts";
import { openZip, unpack, type ZipArchive, type ZipEntry } from "./zip.ts";

/** A compressed score: a zip archive whose container file says which of its files is the score. */
export interface ScoreContainer {
  readonly archive: ZipArchive;
  readonly score: ZipEntry;
  /** The score's bytes, unpacked. */
  readonly scoreBytes: Uint8Array;
  /** What was assumed, in sentences. */
  readonly notes: readonly string[];
}

const containerPath = "META-INF/container.xml";
const scoreType = "application/vnd.recordare.musicxml+xml";

/**
 * Finds the score in a compressed MusicXML file. Nothing is written anywhere.
 *
 * @throws InputError for an archive that cannot be read or holds no score.
 * Source: MusicXML 4.0, container.xsd: the first rootfile is the score; without a media type it is MusicXML.
 */
export function openContainer(bytes: Uint8Array): ScoreContainer {
  const archive = openZip(bytes);
  const container = archive.entries.find((entry) => entry.name === containerPath);
  const notes: string[] = [];
  let score: ZipEntry | undefined;
  if (container) {
    score = scoreNamedBy(archive, container);
  } else {
    score = onlyScore(archive);
    notes.push(
      `The archive has no ${containerPath}; ${score.name}, its only score by name, is taken as the score.`,
    );
  }
  return { archive, score, scoreBytes: unpack(archive, score), notes };
}

interface RootFile {
  readonly "full-path"?: string;
  readonly "media-type"?: string;
}

function scoreNamedBy(archive: ZipArchive, container: ZipEntry): ZipEntry {
  const rootFiles = readRootFiles(decodeText(unpack(archive, container)).text);
  const isScore = (file: RootFile): boolean =>
    file["media-type"] === undefined || file["media-type"] === scoreType;
  const path = rootFiles.find(isScore)?.["full-path"];
  if (path === undefined) {
    throw new InputError(`${containerPath} in the archive names no MusicXML score. Export the score anew.`);
  }
  const [entry, twin] = archive.entries.filter((candidate) => candidate.name === path);
  if (twin) {
    throw new InputError(
      `The zip archive holds two files named ${JSON.stringify(path)}. Export the score anew.`,
    );
  }
  if (!entry) {
    throw new InputError(
      `${containerPath} names the score ${JSON.stringify(path)}, which is not in the archive. Export it anew.`,
    );
  }
  return entry;
}

/** The `rootfile` elements with their attributes, in order; with or without a namespace prefix. */
function readRootFiles(xml: string): RootFile[] {
  const parser = new XMLParser({
    ignoreAttributes: false,
    attributeNamePrefix: "",
    parseAttributeValue: false,
    removeNSPrefix: true,
    isArray: (name) => name === "rootfile",
  });
  try {
    return parser.parse(xml)?.container?.rootfiles?.rootfile ?? [];
  } catch (error) {
    throw new InputError(
      `${containerPath} in the archive cannot be read: ${error instanceof Error ? error.message : String(error)}. Export the score anew.`,
    );
  }
}

function onlyScore(archive: ZipArchive): ZipEntry {
  const scores = archive.entries.filter(({ name }) => /\.(musicxml|xml)$/i.test(name));
  const [score, second] = scores;
  if (!score || second) {
    throw new InputError(
      `The zip archive is not a compressed score: it has no ${containerPath}. Export the score as MusicXML.`,
    );
  }
  return score;
}
