import { randomBytes } from "node:crypto";
import { access, constants, open, readFile, realpath, rename, rm, stat, writeFile } from "node:fs/promises";
import { basename, dirname, join } from "node:path";
import { InputError } from "../../shared/text/problem.ts";
import { fileTrouble } from "./fileTrouble.ts";

/**
 * Writes a file whole or not at all: into a temporary file beside it, synced to the disk, then renamed over it. The
 * file keeps its mode and owner, and a symbolic link goes on pointing to it. What is no regular file (a device, a
 * pipe) is written directly.
 *
 * @param asRead the bytes that the file had when it was read. With them the file must still be there and hold them:
 *               what another program saved in the meantime is never overwritten.
 * @throws InputError when it cannot be written; the file is then as it was.
 */
export async function replaceFile(path: string, bytes: Uint8Array, asRead?: Uint8Array): Promise<void> {
  try {
    const target = await realTarget(path);
    const before = await stat(target).catch(() => undefined);
    if (before && !before.isFile()) {
      await writeFile(target, bytes);
      return;
    }
    if (before) await mayBeWritten(path, target, before.mode);
    await viaTemporary(target, bytes, before, () => isAsRead(path, target, asRead));
  } catch (error) {
    throw error instanceof InputError ? error : new InputError(fileTrouble(error, path));
  }
}

/** Where a link leads; the path itself when nothing is there yet. */
async function realTarget(path: string): Promise<string> {
  try {
    return await realpath(path);
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== "ENOENT") throw error;
    return path;
  }
}

/** Renaming over a file needs no right to write it, so the right is asked for here. */
async function mayBeWritten(path: string, target: string, mode: number): Promise<void> {
  const readOnly = (mode & 0o222) === 0;
  const allowed =
    !readOnly &&
    (await access(target, constants.W_OK).then(
      () => true,
      () => false,
    ));
  if (!allowed)
    throw new InputError(`${path} is read-only and stays as it is. Allow writing, or write elsewhere.`);
}

async function isAsRead(path: string, target: string, asRead: Uint8Array | undefined): Promise<void> {
  if (!asRead) return;
  const now = await readFile(target).catch((error: NodeJS.ErrnoException) => {
    if (error.code !== "ENOENT") throw error;
    throw new InputError(`${path} is no longer there, and is not written. Write elsewhere.`);
  });
  if (!now.equals(asRead)) {
    throw new InputError(
      `${path} was changed by another program meanwhile, and stays as that left it. Run again.`,
    );
  }
}

interface FileNature {
  readonly mode: number;
  readonly uid: number;
  readonly gid: number;
}

async function viaTemporary(
  target: string,
  bytes: Uint8Array,
  before: FileNature | undefined,
  lastCheck: () => Promise<void>,
): Promise<void> {
  const temporary = join(dirname(target), `.${basename(target)}.${randomBytes(6).toString("hex")}.tmp`);
  try {
    const file = await open(temporary, "wx");
    try {
      await file.writeFile(bytes);
      if (before) {
        // Only the owner of the system may give files away; the mode comes after, as giving away can change it.
        await file.chown(before.uid, before.gid).catch(() => undefined);
        await file.chmod(before.mode);
      }
      await file.sync();
    } finally {
      await file.close();
    }
    await lastCheck();
    await rename(temporary, target);
  } catch (error) {
    await rm(temporary, { force: true });
    throw error;
  }
  await syncFolder(dirname(target));
}

/** So that the new name survives a power cut. Where folders cannot be synced, the file itself was. */
async function syncFolder(folder: string): Promise<void> {
  const handle = await open(folder, "r").catch(() => undefined);
  try {
    await handle?.sync().catch(() => undefined);
  } finally {
    await handle?.close();
  }
}
