import { execFileSync, spawnSync } from "node:child_process";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import fc from "fast-check";
import { strToU8, unzipSync, Zip, ZipDeflate, ZipPassThrough, type Zippable, zipSync } from "fflate";
import { expect, test } from "vitest";
import { decodeScoreFile, encodeScoreFile } from "../../shared/musicxml/scoreFile.ts";
import { isZip } from "../../shared/musicxml/zip.ts";
import { InputError } from "../../shared/text/problem.ts";

const score = `<?xml version="1.0" encoding="UTF-8"?>\n<score-partwise version="4.0"><part-list/></score-partwise>\n`;
const changed = score.replace("<part-list/>", "<part-list></part-list>");
const picture = Uint8Array.from({ length: 5000 }, (_, i) => (i * i * 31) & 0xff);
const rootFile = (path: string, type?: string): string =>
  `<rootfile full-path="${path}"${type ? ` media-type="${type}"` : ""}/>`;
const containerXml = (...rootFiles: string[]): Uint8Array =>
  strToU8(
    `<?xml version="1.0" encoding="UTF-8"?><container><rootfiles>${rootFiles.join("")}</rootfiles></container>`,
  );

function archive(more: Zippable = {}): Uint8Array {
  return zipSync(
    {
      mimetype: [strToU8("application/vnd.recordare.musicxml"), { level: 0 }],
      "META-INF/container.xml": containerXml(rootFile("score.xml")),
      "Thumbnails/thumbnail.png": [picture, { level: 0, mtime: "2001-02-03T04:05:06", comment: "small" }],
      "score.xml": [strToU8(score), { level: 9, extra: { 28789: Uint8Array.of(1, 2, 3) } }],
      "parts/flute.xml": [strToU8(score.repeat(20)), { level: 1 }],
      ...more,
    },
    { mtime: "2020-01-02T03:04:06" },
  );
}

/** An archive as streaming writers make it: the sizes follow the data. */
function streamedArchive(): Uint8Array {
  const pieces: Uint8Array[] = [];
  const zip = new Zip((error, data) => {
    if (error) throw error;
    pieces.push(data);
  });
  const add = (file: ZipDeflate | ZipPassThrough, content: Uint8Array): void => {
    file.mtime = "2020-01-02T03:04:06";
    zip.add(file);
    file.push(content, true);
  };
  add(new ZipDeflate("META-INF/container.xml"), containerXml(rootFile("score.xml")));
  add(new ZipDeflate("score.xml"), strToU8(score));
  add(new ZipPassThrough("picture.png"), picture);
  zip.end();
  return new Uint8Array(Buffer.concat(pieces));
}

/** Where each name's record lies and what is in it, by the names' order in the file. */
function records(bytes: Uint8Array, names: readonly string[]): Map<string, Buffer> {
  const buffer = Buffer.from(bytes);
  const starts = names.map((name) => ({ name, at: buffer.indexOf(name) - 30 })).sort((a, b) => a.at - b.at);
  const directory = buffer.indexOf(Buffer.from([0x50, 0x4b, 1, 2]));
  return new Map(
    starts.map(({ name, at }, i) => [name, buffer.subarray(at, starts[i + 1]?.at ?? directory)]),
  );
}

test("a compressed score is read and written in place, every other record byte for byte", () => {
  for (const bytes of [archive(), streamedArchive(), Buffer.from(archive())]) {
    const asBefore = Uint8Array.from(bytes);
    const file = decodeScoreFile(bytes);
    expect(file.text).toBe(score);
    expect(file.notes).toEqual([]);
    expect(encodeScoreFile(file, score)).toBe(bytes);

    const written = encodeScoreFile(file, changed);
    const before = unzipSync(bytes);
    const after = unzipSync(written);
    expect(Object.keys(after)).toEqual(Object.keys(before));
    expect(Buffer.from(after["score.xml"]!).toString()).toBe(changed);
    const names = Object.keys(before);
    const recordsBefore = records(bytes, names);
    const recordsAfter = records(written, names);
    for (const name of names.filter((other) => other !== "score.xml")) {
      expect(recordsAfter.get(name)).toEqual(recordsBefore.get(name));
    }
    expect([...recordsAfter.keys()]).toEqual([...recordsBefore.keys()]);
    expect(decodeScoreFile(written).text).toBe(changed);
    expect(Uint8Array.from(bytes)).toEqual(asBefore);
  }
});

test("method, date and extra fields of the score's own record stay", () => {
  const bytes = archive();
  const written = encodeScoreFile(decodeScoreFile(bytes), changed);
  const header = (from: Uint8Array): Buffer =>
    records(from, ["score.xml", "parts/flute.xml"]).get("score.xml")!;
  const [a, b] = [header(bytes), header(written)];
  expect(b.subarray(0, 14)).toEqual(a.subarray(0, 14));
  expect(b.subarray(26, 26 + 4 + "score.xml".length + 7)).toEqual(
    a.subarray(26, 26 + 4 + "score.xml".length + 7),
  );
  const plain = zipSync({
    "META-INF/container.xml": containerXml(rootFile("score.xml")),
    "score.xml": [strToU8(score), { level: 0 }],
  });
  const plainWritten = encodeScoreFile(decodeScoreFile(plain), changed);
  expect(Buffer.from(plainWritten).includes(changed)).toBe(true);
});

const hasUnzip = spawnSync("unzip", ["-v"]).status === 0;
test.skipIf(!hasUnzip)("an independent unzip finds nothing wrong with what was written", () => {
  const folder = mkdtempSync(join(tmpdir(), "container-"));
  try {
    [archive(), streamedArchive()].forEach((bytes, i) => {
      const path = join(folder, `${i}.mxl`);
      writeFileSync(path, encodeScoreFile(decodeScoreFile(bytes), changed));
      expect(execFileSync("unzip", ["-t", path]).toString()).toMatch(/No errors detected/);
    });
  } finally {
    rmSync(folder, { recursive: true });
  }
});

test("the score is the first root file that is MusicXML", () => {
  const bytes = zipSync({
    "META-INF/container.xml": containerXml(
      rootFile("cover.pdf", "application/pdf"),
      rootFile("a.xml", "application/vnd.recordare.musicxml+xml"),
      rootFile("b.xml"),
    ),
    "cover.pdf": picture,
    "b.xml": strToU8("<b/>"),
    "a.xml": strToU8("<a/>"),
  });
  expect(decodeScoreFile(bytes).text).toBe("<a/>");
});

test("the container file may have a mark, a prefix, UTF-16 or single quotes", () => {
  const forms = [
    `\ufeff<container><rootfiles><rootfile full-path='s.xml'></rootfile></rootfiles></container>`,
    `<c:container xmlns:c="urn:x"><c:rootfiles><c:rootfile full-path="s.xml"/></c:rootfiles></c:container>`,
    `<!DOCTYPE container SYSTEM "x.dtd"><container><rootfiles><!-- --><rootfile full-path="s.xml"/></rootfiles></container>`,
  ];
  const encoded = [
    ...forms.map((form) => strToU8(form)),
    new Uint8Array(Buffer.from(`\ufeff${forms[2]}`, "utf16le")),
  ];
  for (const container of encoded) {
    const bytes = zipSync({ "META-INF/container.xml": container, "s.xml": strToU8("<a/>") });
    expect(decodeScoreFile(bytes).text).toBe("<a/>");
  }
});

test("an archive without a container file is read when it holds one score, with a note", () => {
  const bytes = zipSync({ "my score.musicxml": strToU8(score), "cover.png": picture });
  const file = decodeScoreFile(bytes);
  expect(file.text).toBe(score);
  expect(file.notes).toHaveLength(1);
  expect(() => decodeScoreFile(zipSync({ "a.xml": strToU8(score), "b.xml": strToU8(score) }))).toThrow(
    InputError,
  );
});

test("a text that is called compressed, and a zip that is not: the bytes tell", () => {
  expect(decodeScoreFile(strToU8(score)).container).toBeUndefined();
  expect(isZip(strToU8(score))).toBe(false);
  expect(isZip(archive())).toBe(true);
});

test("a score in UTF-16 inside a container keeps its encoding", () => {
  const inside = new Uint8Array(Buffer.from(`\ufeff${score.replace("UTF-8", "UTF-16")}`, "utf16le").swap16());
  const bytes = zipSync({ "META-INF/container.xml": containerXml(rootFile("s.xml")), "s.xml": inside });
  const file = decodeScoreFile(bytes);
  expect(file.encoding).toEqual({ name: "UTF-16BE", byteOrderMark: true });
  const written = unzipSync(
    encodeScoreFile(file, file.text.replace("<part-list/>", "<part-list> </part-list>")),
  );
  expect(Buffer.from(written["s.xml"]!).subarray(0, 4)).toEqual(Buffer.from([0xfe, 0xff, 0, 0x3c]));
});

function patched(change: (buffer: Buffer) => void, bytes = archive()): Uint8Array {
  const copy = Buffer.from(bytes);
  change(copy);
  return new Uint8Array(copy);
}

const central = (buffer: Buffer, name: string): number => buffer.lastIndexOf(name) - 46;

test.each<[string, () => Uint8Array, RegExp]>([
  ["cut in the middle", () => archive().subarray(0, 300), /cut short/],
  ["cut at the end", () => archive().subarray(0, archive().length - 5), /cut short/],
  [
    "encrypted",
    () => patched((buffer) => buffer.writeUInt16LE(1, central(buffer, "score.xml") + 8)),
    /encrypted \(score\.xml\)/,
  ],
  [
    "with other bytes than were packed",
    () => patched((buffer) => buffer.writeUInt32LE(1234, central(buffer, "score.xml") + 16)),
    /not those that were packed/,
  ],
  [
    "a bomb by its own account",
    () =>
      zipSync({
        "META-INF/container.xml": containerXml(rootFile("s.xml")),
        "s.xml": new Uint8Array(30_000_000).fill(32),
      }),
    /far more than it holds/,
  ],
  [
    "a bomb that hides its size",
    () =>
      patched(
        (buffer) => buffer.writeUInt32LE(1000, central(buffer, "s.xml") + 24),
        zipSync({
          "META-INF/container.xml": containerXml(rootFile("s.xml")),
          "s.xml": new Uint8Array(50_000_000).fill(32),
        }),
      ),
    /more than the directory says/,
  ],
  ["a path upwards", () => archive({ "a/../../b.xml": strToU8("x") }), /outside itself/],
  ["a path upwards in the other spelling", () => archive({ "..\\b.xml": strToU8("x") }), /outside itself/],
  ["a path from the root", () => archive({ "/etc/b.xml": strToU8("x") }), /outside itself/],
  ["a path with a drive", () => archive({ "C:\\b.xml": strToU8("x") }), /outside itself/],
  [
    "two entries in one place",
    () =>
      patched((buffer) => {
        const same = buffer.readUInt32LE(central(buffer, "score.xml") + 42);
        buffer.writeUInt32LE(same, central(buffer, "parts/flute.xml") + 42);
      }),
    /overlap|damaged/,
  ],
  [
    "too many entries",
    () => zipSync(Object.fromEntries(Array.from({ length: 2001 }, (_, i) => [`f${i}`, new Uint8Array()]))),
    /2001 files/,
  ],
  [
    "another packing",
    () => patched((buffer) => buffer.writeUInt16LE(12, central(buffer, "score.xml") + 10)),
    /other than deflate/,
  ],
  ["no score named", () => zipSync({ "META-INF/container.xml": containerXml() }), /names no MusicXML score/],
  [
    "a score that is not there",
    () => zipSync({ "META-INF/container.xml": containerXml(rootFile("gone.xml")) }),
    /"gone\.xml", which is not in the archive/,
  ],
  ["nothing inside", () => zipSync({}), /not a compressed score/],
])("an archive is refused with one sentence: %s", (_, make, message) => {
  const bytes = make();
  const before = process.cpuUsage();
  expect(() => decodeScoreFile(bytes)).toThrow(InputError);
  expect(() => decodeScoreFile(bytes)).toThrow(message);
  // Unpacking what a bomb holds would take minutes; ten seconds leave room for a slow machine.
  expect(process.cpuUsage(before).user).toBeLessThan(10_000_000);
});

test("a garbled archive is refused with a sentence or read; what is read is written so that others can read it", () => {
  const originals = [archive(), streamedArchive()];
  const garble = fc.record({
    which: fc.nat({ max: originals.length - 1 }),
    cut: fc.option(fc.nat({ max: 2000 })),
    bytes: fc.array(fc.tuple(fc.nat({ max: 12_000 }), fc.nat({ max: 255 })), { maxLength: 6 }),
  });
  fc.assert(
    fc.property(garble, ({ which, cut, bytes }) => {
      const input = originals[which]!.slice(0, originals[which]!.length - (cut ?? 0));
      for (const [at, value] of bytes) input[at % input.length] = value;
      try {
        const file = decodeScoreFile(input);
        if (!file.container) return;
        const written = encodeScoreFile(file, `${file.text}<!-- -->`);
        expect(decodeScoreFile(written).text).toBe(`${file.text}<!-- -->`);
      } catch (error) {
        if (!(error instanceof InputError)) throw error;
      }
    }),
    { seed: 11, numRuns: 2000 },
  );
});
