import { spawnSync } from "node:child_process";
import * as fs from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, expect, test, vi } from "vitest";
import { replaceFile } from "../../server/files/replaceFile.ts";
import { InputError } from "../../shared/text/problem.ts";

vi.mock("node:fs/promises", async (original) => ({ ...(await original<typeof fs>()) }));

let folder = "";
let path = "";
const old = Buffer.from("old");
const fresh = Buffer.from("fresh");

beforeEach(async () => {
  folder = await fs.mkdtemp(join(tmpdir(), "replace-"));
  path = join(folder, "score.musicxml");
  await fs.writeFile(path, old);
});

afterEach(async () => {
  vi.restoreAllMocks();
  await fs.rm(folder, { recursive: true });
});

/** What is refused is refused with a sentence, and leaves the folder as it was. */
async function refused(message: RegExp, asRead: Uint8Array | undefined, expected: Buffer | null = old) {
  const before = await fs.readdir(folder);
  await expect(replaceFile(path, fresh, asRead)).rejects.toThrow(InputError);
  await expect(replaceFile(path, fresh, asRead)).rejects.toThrow(message);
  if (expected) expect(await fs.readFile(path)).toEqual(expected);
  expect(await fs.readdir(folder)).toEqual(before);
}

test("a file is replaced, keeps its mode, and nothing else is left in the folder", async () => {
  await fs.chmod(path, 0o640);
  await replaceFile(path, fresh, old);
  expect(await fs.readFile(path)).toEqual(fresh);
  expect((await fs.stat(path)).mode & 0o777).toBe(0o640);
  expect(await fs.readdir(folder)).toEqual(["score.musicxml"]);
});

test("a new file is made where there was none", async () => {
  const other = join(folder, "new.musicxml");
  await replaceFile(other, fresh);
  expect(await fs.readFile(other)).toEqual(fresh);
});

test("a link stays a link, and the file that it leads to is replaced", async () => {
  const link = join(folder, "link.musicxml");
  await fs.symlink(path, link);
  await replaceFile(link, fresh, old);
  expect((await fs.lstat(link)).isSymbolicLink()).toBe(true);
  expect(await fs.readFile(path)).toEqual(fresh);
});

test("a read-only file is refused", async () => {
  await fs.chmod(path, 0o444);
  await refused(/is read-only and stays as it is/, old);
  await refused(/is read-only and stays as it is/, undefined);
});

test("a file that vanished since it was read is not made anew", async () => {
  await fs.rm(path);
  await refused(/no longer there/, old, null);
  expect(await fs.readdir(folder)).toEqual([]);
});

test("a file that another program changed since it was read stays as that left it", async () => {
  const theirs = Buffer.from("old, saved by another program");
  await fs.writeFile(path, theirs);
  await refused(/changed by another program/, old, theirs);
});

test("a folder that is not there is named", async () => {
  await expect(replaceFile(join(folder, "no", "x.musicxml"), fresh)).rejects.toThrow(
    /There is no file or folder/,
  );
});

test("a full disk leaves the original whole and no rubbish", async () => {
  const open = fs.open;
  vi.spyOn(fs, "open").mockImplementation(async (...args) => {
    const file = await open(...args);
    if (args[1] === "wx") {
      file.writeFile = async () => {
        await file.write("fr");
        throw Object.assign(new Error("no space left on device"), { code: "ENOSPC" });
      };
    }
    return file;
  });
  await refused(/the disk is full/, old);
});

test("a failed sync or rename leaves the original whole and no rubbish", async () => {
  vi.spyOn(fs, "rename").mockRejectedValue(Object.assign(new Error("i/o error"), { code: "EIO" }));
  await refused(/i\/o error/, old);
  vi.restoreAllMocks();
  const open = fs.open;
  vi.spyOn(fs, "open").mockImplementation(async (...args) => {
    const file = await open(...args);
    file.sync = async () => {
      throw Object.assign(new Error("i/o error"), { code: "EIO" });
    };
    return file;
  });
  await refused(/i\/o error/, old);
});

/** A disk of 64 kB, where this machine lets us make one. */
function smallDisk(at: string): boolean {
  return spawnSync("mount", ["-t", "tmpfs", "-o", "size=64k", "tmpfs", at]).status === 0;
}

test("a disk that is really full leaves the original whole", async (context) => {
  const disk = join(folder, "disk");
  await fs.mkdir(disk);
  if (!smallDisk(disk)) return context.skip("no small disk can be mounted here");
  try {
    const file = join(disk, "score.musicxml");
    await fs.writeFile(file, old);
    await expect(replaceFile(file, Buffer.alloc(100_000), old)).rejects.toThrow(/the disk is full/);
    expect(await fs.readFile(file)).toEqual(old);
    expect(await fs.readdir(disk)).toEqual(["score.musicxml"]);
  } finally {
    spawnSync("umount", [disk]);
  }
});
