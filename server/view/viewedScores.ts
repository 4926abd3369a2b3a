import { watch } from "node:fs";
import { readFile, realpath, stat } from "node:fs/promises";
import { dirname, relative, resolve, sep } from "node:path";
import { guardedText } from "../../shared/musicxml/guard.ts";
import { decodeScoreFile, encodeScoreFile, type ScoreFile } from "../../shared/musicxml/scoreFile.ts";
import type { PanelAnswer, PanelChanged, PanelNews, PanelScoreName } from "../../shared/protocol/panel.ts";
import { acceptanceEdits } from "../../shared/service/acceptance.ts";
import { plainReason } from "../../shared/service/acceptedFile.ts";
import { type Analysis, analyse } from "../../shared/service/analyse.ts";
import { type PanelChange, panelEdits } from "../../shared/service/panelChange.ts";
import { type PanelReading, panelReading } from "../../shared/service/panelScore.ts";
import type { Settings } from "../../shared/service/settings.ts";
import { InputError } from "../../shared/text/problem.ts";
import { editAcceptedFile } from "../files/editAcceptedFile.ts";
import { fileTrouble } from "../files/fileTrouble.ts";
import { replaceFile } from "../files/replaceFile.ts";
import type { FoundSettings } from "../files/settingsFiles.ts";

/** How long a folder must be quiet before its files are looked at, in milliseconds: programs save in several steps. */
const quietMs = 80;

/** Gives the settings of a score, and where its findings are accepted. */
export type SettingsFor = (path: string) => ViewedSettings;

type ViewedSettings = Pick<FoundSettings, "settings"> & Partial<FoundSettings>;

/** House rules, where they may be run. */
export interface HouseFor {
  /** The settings with what the rules find in the score. */
  settingsWith(found: ViewedSettings, bytes: Uint8Array): Promise<Settings>;
  /** Changes when a module of theirs is saved. */
  stampOf(found: ViewedSettings): string;
}

const noHouse: HouseFor = { settingsWith: async ({ settings }) => settings, stampOf: () => "" };

/** Looks for score files below a path, or gives the file itself; paths as `resolve` takes them. */
export type FindScores = (path: string) => Promise<readonly string[]>;

interface ReadFile {
  readonly version: number;
  /** Undefined when the file could not be read. */
  readonly file: ScoreFile | undefined;
  /** What the settings around it said, and which house rules there were. */
  readonly settings: string;
  readonly analysis: Analysis | undefined;
  /** What could not be done with the file. */
  readonly trouble: string | undefined;
  reading: PanelReading | undefined;
}

/** The scores at a path, read when asked for, with a version for each state of their files. */
export class ViewedScores {
  readonly #path: string;
  readonly #find: FindScores;
  readonly #settingsFor: SettingsFor;
  readonly #house: HouseFor;
  readonly #known = new Map<string, ReadFile>();
  /** What names are relative to: the folder that is shown, or the one that the file lies in. */
  #base: string;
  #names: readonly PanelScoreName[] = [];
  /** One thing at a time happens to a file. */
  #queue: Promise<unknown> = Promise.resolve();

  /** @param settingsFor asked each time that a file is read. */
  constructor(
    path: string,
    find: FindScores,
    settingsFor: SettingsFor = () => ({ settings: {} }),
    house: HouseFor = noHouse,
  ) {
    this.#path = resolve(path);
    this.#base = this.#path;
    this.#find = find;
    this.#settingsFor = settingsFor;
    this.#house = house;
  }

  /** @throws InputError when there is nothing at the path. */
  async list(): Promise<readonly PanelScoreName[]> {
    const files = (await this.#find(this.#path)).map((file) => resolve(file));
    this.#base = files[0] === this.#path ? dirname(this.#path) : this.#path;
    this.#names = files.map((file) => ({ uri: this.#uriOf(file), name: this.#uriOf(file) }));
    return this.#names;
  }

  read(uri: string): Promise<PanelAnswer> {
    return this.#inTurn(async () => {
      const known = await this.#current(uri);
      known.reading ??= known.analysis ? panelReading(known.analysis) : unreadable(known.trouble ?? "");
      return { version: known.version, reading: known.reading };
    });
  }

  /** Runs a question about one version of a score. @throws InputError when the file is another one by now. */
  ask<T>(uri: string, version: number, question: (analysis: Analysis) => T): Promise<T> {
    return this.#inTurn(async () => {
      const known = this.#known.get(await this.#fileOf(uri));
      if (known?.version !== version || !known.analysis) throw changedMeanwhile();
      return question(known.analysis);
    });
  }

  /**
   * Changes a file, when nothing but fingering and brackets changes in it.
   * @throws InputError when that cannot be done; the file is then as it was.
   */
  change(uri: string, version: number, change: PanelChange): Promise<PanelChanged> {
    return this.#inTurn(async () => {
      const { version: now, file, analysis } = await this.#current(uri);
      if (now !== version || !file || !analysis) throw changedMeanwhile();
      if (change.kind === "accept") return this.#accept(await this.#fileOf(uri), analysis, change);
      const { label, edits, permission } = panelEdits(analysis, change);
      if (edits.length > 0) {
        const bytes = encodeScoreFile(file, guardedText(file.text, edits, permission));
        await replaceFile(await this.#fileOf(uri), bytes, file.bytes);
      }
      return { label, edits: edits.length };
    });
  }

  async #accept(
    path: string,
    analysis: Analysis,
    { finding, reason }: Extract<PanelChange, { kind: "accept" }>,
  ): Promise<PanelChanged> {
    const meant = analysis.findings[finding];
    const { accepted } = this.#settingsFor(path);
    if (!meant || !accepted) throw new InputError("There is no such finding any more. Look again.");
    const edits = acceptanceEdits(analysis, [meant], accepted, reason ?? plainReason);
    await editAcceptedFile(accepted, edits);
    return { label: "Mark as intended", edits: edits.length };
  }

  /** Calls back when a file that was read changes, or when there are other files; until the returned function is called. */
  async watch(tell: (news: PanelNews) => void): Promise<() => void> {
    const isFolder = (await stat(this.#path)).isDirectory();
    let timer: NodeJS.Timeout | undefined;
    const look = (): void => {
      clearTimeout(timer);
      timer = setTimeout(() => void this.#look(tell), quietMs);
    };
    const watcher = watch(isFolder ? this.#path : dirname(this.#path), { recursive: isFolder }, look);
    watcher.on("error", () => watcher.close());
    return () => {
      clearTimeout(timer);
      watcher.close();
    };
  }

  async #look(tell: (news: PanelNews) => void): Promise<void> {
    const before = this.#names.map(({ uri }) => uri).join("\n");
    const names = await this.list().catch(() => this.#names);
    if (names.map(({ uri }) => uri).join("\n") !== before) tell({ kind: "scores" });
    for (const [path, known] of this.#known) {
      const bytes = await readFile(path).catch(() => undefined);
      const same = bytes && known.file ? Buffer.from(bytes).equals(known.file.bytes) : bytes === known.file;
      if (!same || known.settings !== this.#settingsMark(this.#settingsFor(path)))
        tell({ kind: "changed", uri: this.#uriOf(path) });
    }
  }

  #settingsMark(found: ViewedSettings): string {
    return `${JSON.stringify(found.settings)} ${this.#house.stampOf(found)}`;
  }

  #uriOf(path: string): string {
    return relative(this.#base, path).split(sep).join("/");
  }

  /** The file of a score that was listed; no other file is ever opened. */
  async #fileOf(uri: string): Promise<string> {
    const listed = (): boolean => this.#names.some((name) => name.uri === uri);
    if (!listed()) await this.list();
    if (!listed()) throw new InputError("There is no such score here any more. Choose another one.");
    const path = resolve(this.#base, uri);
    if (path !== this.#path && (await leadsOut(this.#base, path)))
      throw new InputError(`${uri} leads out of the folder that is shown, and is not opened.`);
    return path;
  }

  /** The state of a file now; the one that is known when it has not changed. */
  async #current(uri: string): Promise<ReadFile> {
    const path = await this.#fileOf(uri);
    const known = this.#known.get(path);
    const version = (known?.version ?? 0) + 1;
    const found = this.#settingsFor(path);
    const settings = this.#settingsMark(found);
    let next: ReadFile;
    try {
      const bytes = await readFile(path);
      if (known?.file && bytes.equals(known.file.bytes) && known.settings === settings) return known;
      const file = decodeScoreFile(bytes);
      const chosen = await this.#house.settingsWith(found, bytes);
      const analysis = analyse(file.text, chosen, known?.analysis?.memory);
      next = { version, file, settings, analysis, trouble: undefined, reading: undefined };
    } catch (error) {
      const trouble = error instanceof InputError ? error.message : fileTrouble(error, path);
      if (known?.trouble === trouble) return known;
      next = { version, file: undefined, settings, analysis: undefined, trouble, reading: undefined };
    }
    this.#known.set(path, next);
    return next;
  }

  #inTurn<T>(task: () => Promise<T>): Promise<T> {
    const turn = this.#queue.then(task);
    this.#queue = turn.catch(() => undefined);
    return turn;
  }
}

/** Whether a path is a link to a file elsewhere. What is not there leads nowhere. */
async function leadsOut(folder: string, path: string): Promise<boolean> {
  const [base, target] = await Promise.all([realpath(folder), realpath(path).catch(() => undefined)]);
  return target !== undefined && !target.startsWith(base.endsWith(sep) ? base : `${base}${sep}`);
}

function unreadable(why: string): PanelReading {
  return { state: "broken", why, span: { start: 0, end: 0 }, line: 1, column: 1 };
}

function changedMeanwhile(): InputError {
  return new InputError("The file has changed meanwhile. Look at it again, then try once more.");
}
