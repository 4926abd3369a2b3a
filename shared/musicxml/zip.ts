import { deflateSync, Inflate } from "fflate";
import { InputError } from "../text/problem.ts";

/**
 * Reads one entry of a zip archive and replaces one, keeping every other byte of the archive. Zip libraries write
 * archives anew (other headers, other dates, other compressed bytes), so the records are read and copied here and
 * only compression is left to a library.
 * Source for the records: PKWARE, APPNOTE.TXT 6.3.10, .ZIP File Format Specification.
 */
export interface ZipArchive {
  readonly bytes: Uint8Array;
  /** In the order of the archive's directory. */
  readonly entries: readonly ZipEntry[];
  readonly directory: DirectoryPlace;
}

/** One file in an archive. */
export interface ZipEntry {
  readonly name: string;
  readonly stored: "plain" | "deflated" | "other";
  readonly compressedSize: number;
  readonly size: number;
  readonly checksum: number;
  /** Where its own record begins, and where the bytes that follow its compressed data may begin. */
  readonly recordStart: number;
  readonly dataStart: number;
  readonly dataEnd: number;
  /** Its record in the directory. */
  readonly directoryStart: number;
  readonly directoryEnd: number;
}

interface DirectoryPlace {
  readonly start: number;
  readonly end: number;
  readonly endRecord: number;
}

/** What an archive may hold at most; a score with all its pictures stays far below. */
const limits = {
  entries: 2000,
  /** All entries unpacked. */
  totalBytes: 512 * 2 ** 20,
  /** An entry's unpacked size to its packed one. Scores reach 40, pages of rests 150; 1032 is the most there is. */
  ratio: 400,
  /** Below this size the ratio says nothing. */
  ratioFromBytes: 2 ** 20,
};

const signature = { local: 0x04034b50, central: 0x02014b50, end: 0x06054b50, descriptor: 0x08074b50 };
const localHeaderSize = 30;
const centralHeaderSize = 46;
const endRecordSize = 22;

/** True for the bytes of a zip archive, whatever the file is called. */
export function isZip(bytes: Uint8Array): boolean {
  return (
    bytes.length >= 4 &&
    bytes[0] === 0x50 &&
    bytes[1] === 0x4b &&
    (bytes[2] === 3 || bytes[2] === 5 || bytes[2] === 7)
  );
}

/**
 * Reads an archive's directory; nothing is unpacked.
 * @throws InputError with one sentence for an archive that is cut short, damaged, encrypted, split, or made to harm.
 */
export function openZip(source: Uint8Array): ZipArchive {
  // A plain view: what derives from Uint8Array, such as Node's Buffer, may slice without copying.
  const bytes = new Uint8Array(source.buffer, source.byteOffset, source.byteLength);
  const view = viewOf(bytes);
  const endRecord = findEndRecord(bytes, view);
  const count = view.getUint16(endRecord + 10, true);
  const size = view.getUint32(endRecord + 12, true);
  const start = view.getUint32(endRecord + 16, true);
  if (view.getUint16(endRecord + 4, true) !== 0 || view.getUint16(endRecord + 8, true) !== count) {
    throw new InputError("The zip archive is one of several volumes. Export the score as one file.");
  }
  if (count === 0xffff || size === 0xffffffff || start === 0xffffffff) throw above4Gb();
  if (count > limits.entries) {
    throw new InputError(
      `The zip archive holds ${count} files; a score holds at most ${limits.entries}. Export the score anew.`,
    );
  }
  if (start + size > endRecord) throw damaged("its directory lies outside it");
  const directory = { start, end: start + size, endRecord };
  const entries: ZipEntry[] = [];
  let at = start;
  for (let i = 0; i < count; i += 1) {
    const entry = readEntry(bytes, view, at, directory);
    entries.push(entry);
    at = entry.directoryEnd;
  }
  if (at !== directory.end) throw damaged("its directory has another length than it says");
  refuseHarm(entries);
  return { bytes, entries, directory };
}

/**
 * Unpacks one entry.
 * @throws InputError when its bytes are damaged or are more than the directory says.
 */
export function unpack(archive: ZipArchive, entry: ZipEntry): Uint8Array {
  const packed = archive.bytes.subarray(entry.dataStart, entry.dataEnd);
  const content = entry.stored === "plain" ? packed.slice() : inflate(packed, entry);
  if (content.length !== entry.size || crc32(content) !== entry.checksum) {
    throw damaged(`the bytes of ${entry.name} are not those that were packed`);
  }
  return content;
}

/**
 * The archive with another content of one entry. Its name, method, date and extra fields stay, and so does every
 * byte of the other entries and their order.
 */
export function replaceEntry(archive: ZipArchive, entry: ZipEntry, content: Uint8Array): Uint8Array {
  const { bytes, directory } = archive;
  const packed = entry.stored === "plain" ? content : deflateSync(content, { level: 6 });
  const recordEnd = endOfRecord(archive, entry);
  const header = bytes.slice(entry.recordStart, entry.dataStart);
  const sizes = { checksum: crc32(content), packed: packed.length, size: content.length };
  // The sizes stand in the header from now on, so no descriptor follows the data.
  writeSizes(header, 14, sizes);
  clearDescriptorFlag(header, 6);

  const shift = header.length + packed.length - (recordEnd - entry.recordStart);
  const central = bytes.slice(directory.start, directory.end);
  const centralView = viewOf(central);
  for (const other of archive.entries) {
    const at = other.directoryStart - directory.start;
    if (other === entry) {
      writeSizes(central, at + 16, sizes);
      clearDescriptorFlag(central, at + 8);
    } else if (other.recordStart > entry.recordStart) {
      centralView.setUint32(at + 42, other.recordStart + shift, true);
    }
  }
  const tail = bytes.slice(directory.end);
  viewOf(tail).setUint32(directory.endRecord - directory.end + 16, directory.start + shift, true);
  return joined([
    bytes.subarray(0, entry.recordStart),
    header,
    packed,
    bytes.subarray(recordEnd, directory.start),
    central,
    tail,
  ]);
}

function above4Gb(): InputError {
  return new InputError("The zip archive has the form for files above 4 GB. Export the score anew.");
}

function damaged(how: string): InputError {
  return new InputError(`The zip archive is damaged: ${how}. Export or download it again.`);
}

function viewOf(bytes: Uint8Array): DataView {
  return new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
}

/** The end record is the last thing but a comment of at most 65535 bytes. */
function findEndRecord(bytes: Uint8Array, view: DataView): number {
  const first = Math.max(0, bytes.length - endRecordSize - 0xffff);
  for (let at = bytes.length - endRecordSize; at >= first; at -= 1) {
    if (view.getUint32(at, true) !== signature.end) continue;
    if (at + endRecordSize + view.getUint16(at + 20, true) === bytes.length) return at;
  }
  throw new InputError(
    "The zip archive is cut short: the directory at its end is missing. Export or download it again.",
  );
}

function readEntry(bytes: Uint8Array, view: DataView, at: number, directory: DirectoryPlace): ZipEntry {
  if (at + centralHeaderSize > directory.end || view.getUint32(at, true) !== signature.central) {
    throw damaged("its directory cannot be read");
  }
  const flags = view.getUint16(at + 8, true);
  const method = view.getUint16(at + 10, true);
  const nameEnd = at + centralHeaderSize + view.getUint16(at + 28, true);
  const directoryEnd = nameEnd + view.getUint16(at + 30, true) + view.getUint16(at + 32, true);
  const recordStart = view.getUint32(at + 42, true);
  const compressedSize = view.getUint32(at + 20, true);
  const size = view.getUint32(at + 24, true);
  if (directoryEnd > directory.end) throw damaged("its directory cannot be read");
  const name = new TextDecoder().decode(bytes.subarray(at + centralHeaderSize, nameEnd));
  if (size === 0xffffffff || compressedSize === 0xffffffff || recordStart === 0xffffffff) throw above4Gb();
  if (flags & 1) {
    throw new InputError(`The zip archive is encrypted (${name}). Save the score without a password.`);
  }
  if (
    recordStart + localHeaderSize > directory.start ||
    view.getUint32(recordStart, true) !== signature.local
  ) {
    throw damaged(`${name} is not where the directory says`);
  }
  const dataStart =
    recordStart +
    localHeaderSize +
    view.getUint16(recordStart + 26, true) +
    view.getUint16(recordStart + 28, true);
  if (dataStart + compressedSize > directory.start) throw damaged(`${name} reaches into the directory`);
  return {
    name,
    stored: method === 0 ? "plain" : method === 8 ? "deflated" : "other",
    compressedSize,
    size,
    checksum: view.getUint32(at + 16, true),
    recordStart,
    dataStart,
    dataEnd: dataStart + compressedSize,
    directoryStart: at,
    directoryEnd,
  };
}

function refuseHarm(entries: readonly ZipEntry[]): void {
  let total = 0;
  for (const { name, size, compressedSize } of entries) {
    total += size;
    const ratio = size / Math.max(1, compressedSize);
    if (total > limits.totalBytes || (size > limits.ratioFromBytes && ratio > limits.ratio)) {
      throw new InputError(
        `The zip archive would unpack to far more than it holds (${name}); no score does that. It is not read.`,
      );
    }
    const steps = name.split(/[/\\]/);
    if (steps.includes("..") || /^([/\\]|[A-Za-z]:)/.test(name) || name.includes("\0")) {
      throw new InputError(
        `The zip archive names a file outside itself (${JSON.stringify(name)}); no score does that. It is not read.`,
      );
    }
  }
  const byPlace = [...entries].sort((a, b) => a.recordStart - b.recordStart);
  byPlace.forEach((entry, i) => {
    const next = byPlace[i + 1];
    if (next && next.recordStart < entry.dataEnd) throw damaged(`${entry.name} and ${next.name} overlap`);
  });
}

function inflate(packed: Uint8Array, entry: ZipEntry): Uint8Array {
  if (entry.stored === "other") {
    throw new InputError(
      `The zip archive packs ${entry.name} in a way other than deflate. Export the score anew.`,
    );
  }
  const pieces: Uint8Array[] = [];
  let total = 0;
  const stream = new Inflate((piece) => {
    total += piece.length;
    if (total > entry.size) throw damaged(`${entry.name} unpacks to more than the directory says`);
    pieces.push(piece);
  });
  try {
    for (let at = 0; at < packed.length; at += inflateStep) {
      stream.push(packed.subarray(at, at + inflateStep), at + inflateStep >= packed.length);
    }
  } catch (error) {
    if (error instanceof InputError) throw error;
    throw damaged(`${entry.name} cannot be unpacked`);
  }
  return joined(pieces);
}

/** Small, so that a bomb is noticed before it has unpacked much. */
const inflateStep = 64 * 1024;

/** Where an entry's record ends: after its data, and the descriptor that may follow them. */
function endOfRecord({ bytes, directory, entries }: ZipArchive, entry: ZipEntry): number {
  const hasDescriptor = (viewOf(bytes).getUint16(entry.recordStart + 6, true) & 8) !== 0;
  if (!hasDescriptor) return entry.dataEnd;
  const next = entries.reduce(
    (nearest, other) =>
      other.recordStart > entry.recordStart ? Math.min(nearest, other.recordStart) : nearest,
    directory.start,
  );
  const withSignature =
    entry.dataEnd + 4 <= next && viewOf(bytes).getUint32(entry.dataEnd, true) === signature.descriptor;
  return Math.min(next, entry.dataEnd + (withSignature ? 16 : 12));
}

function writeSizes(
  record: Uint8Array,
  at: number,
  sizes: { checksum: number; packed: number; size: number },
): void {
  const view = viewOf(record);
  view.setUint32(at, sizes.checksum, true);
  view.setUint32(at + 4, sizes.packed, true);
  view.setUint32(at + 8, sizes.size, true);
}

function clearDescriptorFlag(record: Uint8Array, at: number): void {
  const view = viewOf(record);
  view.setUint16(at, view.getUint16(at, true) & ~8, true);
}

function joined(pieces: readonly Uint8Array[]): Uint8Array {
  const whole = new Uint8Array(pieces.reduce((sum, piece) => sum + piece.length, 0));
  let at = 0;
  for (const piece of pieces) {
    whole.set(piece, at);
    at += piece.length;
  }
  return whole;
}

const crcTable = Uint32Array.from({ length: 256 }, (_, byte) => {
  let value = byte;
  for (let bit = 0; bit < 8; bit += 1) value = value & 1 ? (value >>> 1) ^ 0xedb88320 : value >>> 1;
  return value;
});

/** The checksum of the zip format. Source: APPNOTE.TXT 4.4.7. */
function crc32(bytes: Uint8Array): number {
  let crc = 0xffffffff;
  for (const byte of bytes) crc = crcTable[(crc ^ byte) & 0xff]! ^ (crc >>> 8);
  return (crc ^ 0xffffffff) >>> 0;
}
