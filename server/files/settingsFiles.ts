import { readFileSync } from "node:fs";
import { basename, dirname, join, relative, resolve, sep } from "node:path";
import { closest } from "fastest-levenshtein";
import { namedProfiles, type Profile } from "../../shared/fingering/profile.ts";
import {
  type AcceptedFile,
  acceptedFileName,
  type ReadEntry,
  readAccepted,
} from "../../shared/service/acceptedFile.ts";
import {
  mergedSettings,
  readProfile,
  readSettings,
  type Settings,
  type SettingsFile,
  settingsFileName,
} from "../../shared/service/settings.ts";
import { LineIndex } from "../../shared/text/lineIndex.ts";
import { InputError } from "../../shared/text/problem.ts";
import { fileTrouble } from "./fileTrouble.ts";
import { type KnownFile, KnownFiles, type OpenText } from "./knownFiles.ts";

/** A file that counts for a score, and what is wrong with it. */
export type ReadSettingsFile = KnownFile;

/** The settings of a score and the files that they come from, the nearest last, accepted findings after them. */
export interface FoundSettings {
  readonly settings: Settings;
  readonly files: readonly ReadSettingsFile[];
  /** Where findings of the score are accepted; undefined for a score that lies in no folder. */
  readonly accepted: AcceptedPlace | undefined;
  /** Modules with house rules, as whole paths; those of folders further up first. */
  readonly plugins: readonly string[];
}

/** The file in which findings of a score are accepted, which need not be there. */
export interface AcceptedPlace {
  readonly path: string;
  /** The score as the file names it. */
  readonly score: string;
  /** Undefined when there is no such file. */
  readonly text: string | undefined;
  /** Of all scores. */
  readonly entries: readonly ReadEntry[];
}

/**
 * Finds what counts for a score: `placewright.json` in the score's folder and in those above it, up to one that says
 * `root`, and the nearest `placewright.accepted.json`. A file is read again only when it was saved since.
 */
export class SettingsFiles {
  readonly #settings: KnownFiles<SettingsFile>;
  readonly #accepted: KnownFiles<AcceptedFile>;

  /** @param openText of files that are open in an editor, as they stand there. */
  constructor(openText?: OpenText) {
    this.#settings = new KnownFiles(readSettings);
    this.#accepted = new KnownFiles(readAccepted, openText);
  }

  /** @param scorePath of a score, which need not be there. */
  settingsFor(scorePath: string): FoundSettings {
    const whole = resolve(scorePath);
    const found: (KnownFile & SettingsFile)[] = [];
    let nearest: (KnownFile & AcceptedFile) | undefined;
    for (let folder = dirname(whole); ; folder = dirname(folder)) {
      const file = this.#settings.read(join(folder, settingsFileName));
      if (file) found.unshift(file);
      nearest ??= this.#accepted.read(join(folder, acceptedFileName));
      if (file?.root || dirname(folder) === folder) break;
    }
    const placed = found.map((file) => ({ file, scorePath: pathFrom(dirname(file.path), whole) }));
    const path = nearest?.path ?? join(dirname(whole), acceptedFileName);
    const score = pathFrom(dirname(path), whole);
    const accepted = nearest?.entries.filter((entry) => entry.score === score) ?? [];
    const settings = mergedSettings(placed);
    return {
      settings: accepted.length > 0 ? { ...settings, accepted } : settings,
      files: nearest ? [...found, nearest] : found,
      plugins: pluginsOf(found),
      accepted: { path, score, text: nearest?.text, entries: nearest?.entries ?? [] },
    };
  }
}

function pluginsOf(files: readonly (KnownFile & SettingsFile)[]): string[] {
  const paths = files.flatMap(({ path, plugins }) => plugins.map((plugin) => resolve(dirname(path), plugin)));
  return [...new Set(paths)];
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
