import { relative } from "node:path";
import type { Settings } from "../../shared/service/settings.ts";
import { LineIndex } from "../../shared/text/lineIndex.ts";
import {
  chosenProfile,
  type FoundSettings,
  type ReadSettingsFile,
  SettingsFiles,
} from "../files/settingsFiles.ts";
import type { Arguments, Options } from "./arguments.ts";
import type { CheckedFile } from "./formats/checked.ts";

/** The options of every command that reads scores as a player would. */
export const playerOptions: Options = {
  part: { value: "ID|NAME", help: "The part that is the harp, when the score does not say." },
  profile: {
    value: "NAME|FILE",
    help: "Who plays: three-fingers or small-hand, say, or a JSON file with a profile.",
  },
};

/** Settings of scores: what the files around a score say, and what the call says itself, which goes before. */
export class CallSettings {
  readonly #files = new SettingsFiles();
  readonly #own: Settings;
  readonly #faulty = new Map<string, ReadSettingsFile>();

  /** @throws InputError when the call names a profile that is none. */
  constructor(args: Pick<Arguments, "value">) {
    const part = args.value("part");
    const profile = args.value("profile");
    this.#own = {
      ...(part === undefined ? {} : { part }),
      ...(profile === undefined ? {} : { profile: chosenProfile(profile) }),
    };
  }

  /** @param path of a score; for standard input the name that stands for it, so that the present folder counts. */
  settingsFor(path: string): Settings {
    return this.foundFor(path).settings;
  }

  /** The settings of a score and where they come from. */
  foundFor(path: string): FoundSettings {
    const found = this.#files.settingsFor(path);
    for (const file of found.files) {
      if (file.problems.length > 0) this.#faulty.set(file.path, file);
      else this.#faulty.delete(file.path);
    }
    return { ...found, settings: { ...found.settings, ...this.#own } };
  }

  /** The settings files with something wrong that were met so far, files of accepted findings among them. */
  get faulty(): CheckedFile[] {
    return [...this.#faulty.values()].map(({ path, text, problems }) => {
      const lines = new LineIndex(text);
      return {
        path: shortened(path),
        problems: problems.map((problem) => ({
          ...problem,
          range: { start: lines.place(problem.span.start), end: lines.place(problem.span.end) },
        })),
        findings: [],
        assumptions: [],
        noteCount: 0,
      };
    });
  }
}

/** As one would write it from here, when it lies below; whole otherwise. */
export function shortened(path: string): string {
  const short = relative(process.cwd(), path);
  return short.startsWith("..") ? path : short;
}
