import picomatch from "picomatch/posix";
import type { PrintedAmount } from "../fingering/implied.ts";
import { namedProfiles, type Profile } from "../fingering/profile.ts";
import type { Weights } from "../fingering/weights.ts";
import type { CrossingStyle } from "../fingering/write.ts";
import { type DescribedHarp, describedHarp, type Harp, harpPreset } from "../harp/instruments.ts";
import { stringNamed } from "../harp/strings.ts";
import type { Stringing } from "../harp/tunings.ts";
import { openTuning } from "../harp/tunings.ts";
import type { MechanismPrint } from "../mechanism/markEdits.ts";
import type { Severity } from "../rules/define.ts";
import type { HouseFinding } from "../rules/house.ts";
import type { HandOptions } from "../score/hands.ts";
import type { Problem } from "../text/problem.ts";
import type { ReadEntry } from "./acceptedFile.ts";
import { readJson } from "./jsonSchema.ts";
import type { LevelRow } from "./levelLabel.ts";
import { profileSchema, settingsSchema } from "./settingsSchema.ts";

/** The name of a file of settings, in a folder of scores or above it. */
export const settingsFileName = "placewright.json";

/** What a person chose for a score; everything has a default. */
export interface Settings {
  /** Id or name of the harp's part. */
  readonly part?: string;
  readonly profile?: Profile;
  /** A table of costs in place of the profile's. */
  readonly weights?: Weights;
  /** The harp that is played, and how it is tuned. */
  readonly instrument?: Stringing;
  /** Of a score that states no tempo, in quarter notes a minute. */
  readonly tempo?: number;
  /** By rule; a rule that is not named has its own. */
  readonly severity?: Readonly<Record<string, Severity | "off">>;
  readonly print?: PrintSettings;
  /** What is read as a placing: brackets with hooks, or lines without hooks and words as well. */
  readonly placings?: "brackets" | "lines";
  /** Which hand plays what, where the score is not to be followed. */
  readonly hands?: HandOptions;
  /** Names for how hard a piece is for the hands, the easiest first. */
  readonly levels?: readonly LevelRow[];
  /** What is found in this score and is meant to be as it is. */
  readonly accepted?: readonly ReadEntry[];
  /** What the rules of the house have found in this text. */
  readonly house?: readonly HouseFinding[];
}

/** How fingering is printed, and what is written about pedals and levers. */
export interface PrintSettings extends MechanismPrint {
  readonly fingers?: PrintedAmount;
  readonly crossings?: CrossingStyle;
}

/** A harp in the words of a settings file. */
interface WrittenHarp extends Partial<DescribedHarp> {
  readonly kind?: string;
  readonly tuning?: string;
  readonly levers?: string;
}

/** What a file says about all of its scores, or about some. */
interface WrittenSettings {
  readonly profile?: string | Profile;
  readonly harp?: string | WrittenHarp;
  readonly tempo?: number;
  readonly part?: string;
  readonly severity?: Readonly<Record<string, Severity | "off">>;
  readonly print?: PrintSettings;
  readonly placings?: Settings["placings"];
  readonly hands?: HandOptions;
  readonly levels?: readonly LevelRow[];
}

/** One file of settings, as read. */
export interface SettingsFile {
  readonly written: WrittenSettings;
  /** True when files of the folders above do not count. */
  readonly root: boolean;
  /** Modules with house rules, as paths from the file's folder. */
  readonly plugins: readonly string[];
  /** In the order of the file. */
  readonly overrides: readonly (WrittenSettings & { readonly files: string | readonly string[] })[];
  /** What is wrong with the file; the rest of it counts all the same. */
  readonly problems: readonly Problem[];
}

/** Reads the text of a settings file. Never throws: what is wrong is in `problems`, each at its place. */
export function readSettings(text: string): SettingsFile {
  const { value, problems } = readJson(text, settingsSchema);
  const {
    root = false,
    plugins = [],
    overrides = [],
    ...written
  } = (value ?? {}) as WrittenSettings & Partial<Pick<SettingsFile, "root" | "plugins" | "overrides">>;
  return { written, root, plugins, overrides, problems };
}

/** Reads the text of a file that holds a profile and nothing else. */
export function readProfile(text: string): {
  readonly profile: Profile;
  readonly problems: readonly Problem[];
} {
  const { value, problems } = readJson(text, profileSchema);
  const { $schema: _, ...profile } = (value ?? {}) as Profile & { readonly $schema?: string };
  return { profile, problems };
}

/** A settings file and the folder that it lies in. */
export interface PlacedSettings {
  /** The score's path from that folder, with forward slashes. */
  readonly scorePath: string;
  readonly file: SettingsFile;
}

/**
 * What the files that lie in a score's folder and above it say together. Nearer files go before those further up, a
 * file's overrides before the rest of it, and later overrides before earlier ones. Profiles, severities and print
 * settings are merged name by name; a profile that is named takes the place of all that was said before.
 *
 * @param files the nearest last; those above a file with `root` do not count.
 */
export function mergedSettings(files: readonly PlacedSettings[]): Settings {
  const start = Math.max(
    0,
    files.findLastIndex(({ file }) => file.root),
  );
  let merged: WrittenSettings = {};
  for (const { scorePath, file } of files.slice(start)) {
    merged = merge(merged, file.written);
    for (const { files: patterns, ...override } of file.overrides) {
      if (isAmong(scorePath, patterns)) merged = merge(merged, override);
    }
  }
  const { harp, profile, ...rest } = merged;
  return {
    ...rest,
    ...(profile === undefined ? {} : { profile: profileNamed(profile) }),
    ...(harp === undefined ? {} : { instrument: instrumentOf(harp) }),
  };
}

function isAmong(path: string, patterns: string | readonly string[]): boolean {
  return [patterns]
    .flat()
    .some((pattern) => picomatch.isMatch(path, pattern, { dot: true, basename: !pattern.includes("/") }));
}

function merge(before: WrittenSettings, after: WrittenSettings): WrittenSettings {
  const merged = { ...before, ...after };
  return {
    ...merged,
    ...bothOf("severity", before, after),
    ...bothOf("print", before, after),
    ...bothOf("hands", before, after),
    ...(after.profile === undefined ? {} : { profile: mergeProfiles(before.profile, after.profile) }),
  };
}

function bothOf<K extends "severity" | "print" | "hands">(
  key: K,
  before: WrittenSettings,
  after: WrittenSettings,
): Pick<WrittenSettings, K> | undefined {
  if (before[key] === undefined || after[key] === undefined) return undefined;
  return { [key]: { ...before[key], ...after[key] } } as Pick<WrittenSettings, K>;
}

function mergeProfiles(before: string | Profile | undefined, after: string | Profile): Profile {
  if (typeof after === "string" || before === undefined) return profileNamed(after);
  const known = profileNamed(before);
  const merged = { ...known, ...after };
  const weights = { ...known.weights, ...after.weights };
  return Object.keys(weights).length > 0 ? { ...merged, weights } : merged;
}

function profileNamed(profile: string | Profile): Profile {
  return typeof profile === "string" ? namedProfiles[profile]! : profile;
}

function instrumentOf(written: string | WrittenHarp): Stringing {
  if (typeof written === "string") return { harp: harpPreset(written)! };
  const { kind, tuning, levers, ...described } = written;
  return {
    harp: kind === undefined ? describedHarp(described as DescribedHarp) : variedHarp(kind, described),
    ...(tuning === undefined ? {} : { open: openTuning(tuning)! }),
    ...(levers === undefined ? {} : { levers: [...levers] }),
  };
}

/** A kind of harp, with what this one has otherwise. */
function variedHarp(kind: string, { lowest, strings, ...others }: Partial<DescribedHarp>): Harp {
  const preset = harpPreset(kind)!;
  return {
    ...preset,
    ...others,
    lowest: lowest === undefined ? preset.lowest : stringNamed(lowest)!,
    count: strings ?? preset.count,
  };
}

/** The profile with the spacing of the harp that is played, when it says nothing else about spacing. */
export function playerOf({ profile = {}, instrument }: Settings): Profile {
  if (!instrument || profile.spacingMm !== undefined || profile.harp !== undefined) return profile;
  return { ...profile, spacingMm: instrument.harp.spacingMm };
}
