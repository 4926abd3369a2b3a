import { decodeScoreFile } from "../../shared/musicxml/scoreFile.ts";
import type { HouseRulePage } from "../../shared/rules/house.ts";
import type { Settings } from "../../shared/service/settings.ts";
import { InputError } from "../../shared/text/problem.ts";
import type { FoundSettings } from "../files/settingsFiles.ts";
import { HouseRules, type HouseTrouble, stampOf } from "../house/houseRules.ts";
import type { Arguments, Options } from "./arguments.ts";
import type { CheckedFile } from "./formats/checked.ts";
import { shortened } from "./settingsOf.ts";
import type { Terminal } from "./terminal.ts";

/** The option of every command that runs house rules. */
export const houseOptions: Options = {
  "allow-plugins": {
    help: "Also run the house rules that placewright.json names: they are programs. Allow only those that you trust.",
  },
};

/** House rules as one call runs them: only when it allows it, and in a thread of their own. */
export class HouseCheck {
  readonly #terminal: Terminal;
  readonly #house: HouseRules | undefined;
  readonly #troubles: HouseTrouble[] = [];
  readonly #leftOut = new Set<string>();

  /** @throws InputError when they are allowed in a program that is no file, which cannot be loaded in a thread. */
  constructor(args: Pick<Arguments, "has">, terminal: Terminal) {
    this.#terminal = terminal;
    if (!args.has("allow-plugins")) return;
    if (terminal.program === undefined) {
      throw new InputError(
        "--allow-plugins: only the built program runs house rules. Build it: npm run build",
      );
    }
    this.#house = new HouseRules(terminal.program, (trouble) => this.#troubles.push(trouble));
  }

  /** A score's settings with what the house rules find in it; a note, once, when they may not be run. */
  async settingsWith(
    { settings, plugins }: Pick<FoundSettings, "settings" | "plugins">,
    bytes: Uint8Array,
  ): Promise<Settings> {
    if (plugins.length === 0) return settings;
    if (!this.#house) {
      this.#noteLeftOut(plugins);
      return settings;
    }
    const text = textOf(bytes);
    return text === undefined
      ? settings
      : { ...settings, house: await this.#house.find(plugins, text, settings) };
  }

  /** Changes when one of the modules that may be run is saved. */
  stampOf({ plugins }: Pick<FoundSettings, "plugins">): string {
    return this.#house ? plugins.map(stampOf).join(", ") : "";
  }

  /** What the house rules of some modules are; none, and a note, when they may not be run. */
  async pages(plugins: readonly string[]): Promise<readonly HouseRulePage[]> {
    if (plugins.length === 0) return [];
    if (this.#house) return this.#house.pages(plugins);
    this.#noteLeftOut(plugins);
    return [];
  }

  /** What was switched off since this was last asked. */
  takeTroubles(): CheckedFile[] {
    const start = { line: 1, column: 1 };
    return this.#troubles.splice(0).map(({ path, message }) => ({
      path: shortened(path),
      problems: [{ severity: "error", message, about: "house-rules", range: { start, end: start } }],
      findings: [],
      assumptions: [],
      noteCount: 0,
    }));
  }

  async end(): Promise<void> {
    await this.#house?.end();
  }

  #noteLeftOut(plugins: readonly string[]): void {
    const fresh = plugins.filter((path) => !this.#leftOut.has(path));
    if (fresh.length === 0) return;
    for (const path of fresh) this.#leftOut.add(path);
    this.#terminal.err(
      `placewright: note: house rules were not run: ${fresh.map(shortened).join(", ")}. They are programs; when you trust them, allow them with --allow-plugins.\n`,
    );
  }
}

/** Undefined for bytes that are no score: that is told where they are checked. */
function textOf(bytes: Uint8Array): string | undefined {
  try {
    return decodeScoreFile(bytes).text;
  } catch (error) {
    if (error instanceof InputError) return undefined;
    throw error;
  }
}
