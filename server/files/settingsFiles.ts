import { readFileSync, statSync } from "node:fs";
import { basename, dirname, join, relative, resolve, sep } from "node:path";
import { closest } from "fastest-levenshtein";
import { namedProfiles, type Profile } from "../../shared/fingering/profile.ts";
import {
  mergedSettings,
  readProfile,
  readSettings,
  type Settings,
  type SettingsFile,
  settingsFileName,
} from "../../shared/service/settings.ts";
import { LineIndex } from "../../shared/text/lineIndex.ts";
import { InputError, type Problem } from "../../shared/text/problem.ts";
import { fileTrouble } from "./fileTrouble.ts";

/** A file of settings that counts for a score, and what is wrong with it. */
export interface ReadSettingsFile {
  readonly path: string;
  readonly text: string;
  readonly problems: readonly Problem[];
}

/** The settings of a score and the files that they come from, the nearest last. */
export interface FoundSettings {
  readonly settings: Settings;
  readonly files: readonly ReadSettingsFile[];
}

interface KnownFile extends ReadSettingsFile {
  readonly file: SettingsFile;
  /** What tells that the file is as it was read. */
  readonly stamp: string;
}

/**
 * Finds the settings of scores: `placewright.json` in the score's folder and in those above it, up to one that says
 * `root`. A file is read again only when it was saved since.
 */
export class SettingsFiles {
  readonly #known = new Map<string, KnownFile>();

  /** @param scorePath of a score, which need not be there. */
  settingsFor(scorePath: string): FoundSettings {
    const whole = resolve(scorePath);
    const found: KnownFile[] = [];
    for (let folder = dirname(whole); ; folder = dirname(folder)) {
      const file = this.#read(join(folder, settingsFileName));
      if (file) found.unshift(file);
      if (file?.file.root || dirname(folder) === folder) break;
    }
    const placed = found.map(({ path, file }) => ({ file, scorePath: pathFrom(dirname(path), whole) }));
    return { settings: mergedSettings(placed), files: found };
  }

  #read(path: string): KnownFile | undefined {
    const stamp = stampOf(path);
    if (stamp === undefined) {
      this.#known.delete(path);
      return undefined;
    }
    const known = this.#known.get(path);
    if (known?.stamp === stamp) return known;
    const read = { ...readFile(path), stamp };
    this.#known.set(path, read);
    return read;
  }
}

/** Undefined when there is no such file. */
function stampOf(path: string): string | undefined {
  try {
    const { mtimeMs, size, ino } = statSync(path);
    return `${mtimeMs} ${size} ${ino}`;
  } catch (error) {
    const { code } = error as NodeJS.ErrnoException;
    return code === "ENOENT" || code === "ENOTDIR" ? undefined : `unreadable: ${code}`;
  }
}

function readFile(path: string): Omit<KnownFile, "stamp"> {
  let text = "";
  try {
    text = readFileSync(path, "utf8");
  } catch (error) {
    const problem: Problem = {
      severity: "error",
      message: fileTrouble(error, path),
      span: { start: 0, end: 0 },
    };
    return { path, text, file: readSettings("{}"), problems: [problem] };
  }
  const file = readSettings(text);
  return { path, text, file, problems: file.problems };
}

/** With forward slashes, as patterns are written. */
function pathFrom(folder: string, path: string): string {
  return relative(folder, path).split(sep).join("/");
}

/**
 * A profile by its name, or from a JSON file that holds one.
 * @throws InputError when it is neither, or something is wrong in the file; it says where.
 */
export function chosenProfile(nameOrPath: string): Profile {
  if (Object.hasOwn(namedProfiles, nameOrPath)) return namedProfiles[nameOrPath]!;
  let text: string;
  try {
    text = readFileSync(nameOrPath, "utf8");
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== "ENOENT")
      throw new InputError(fileTrouble(error, nameOrPath));
    const names = Object.keys(namedProfiles);
    throw new InputError(
      `There is no profile ${nameOrPath}, and no file of that name. Did you mean ${closest(basename(nameOrPath), names)}? There are ${names.join(", ")}; or name a JSON file with a profile.`,
    );
  }
  const { profile, problems } = readProfile(text);
  const lines = new LineIndex(text);
  const told = problems.map(({ span, message }) => {
    const { line, column } = lines.place(span.start);
    return `${nameOrPath}:${line}:${column}: ${message}`;
  });
  if (told.length > 0) throw new InputError(told.join("\n"));
  return profile;
}
