import { basename } from "node:path";
import type { HouseFinding } from "../../shared/rules/house.ts";
import type { Settings } from "../../shared/service/settings.ts";
import { HouseRules, type HouseTrouble } from "../house/houseRules.ts";

/** What an editor is told of house rules. */
export interface HouseNews {
  /** Rules that were switched off. */
  warn(message: string): void;
  /** Rules that may not be run. */
  tell(message: string): void;
}

/** House rules as an editor has them: they run only where the editor says that the folder is trusted. */
export class DocumentHouse {
  /** Whether they may be run: the editor says so when it starts. */
  allowed = false;
  readonly #rules: HouseRules;
  readonly #news: HouseNews;
  readonly #leftOut = new Set<string>();

  /** @param bundle the file that calls `runHouseThread` when it is loaded in a thread. */
  constructor(bundle: string, news: HouseNews) {
    this.#news = news;
    this.#rules = new HouseRules(bundle, ({ path, message }: HouseTrouble) =>
      news.warn(`${basename(path)}: ${message} It runs again once the module is saved anew. ${path}`),
    );
  }

  /** What modules find in a text; undefined where they may not be run, which is told once. Never rejects. */
  async findings(
    plugins: readonly string[],
    text: string,
    settings: Settings,
  ): Promise<readonly HouseFinding[] | undefined> {
    if (plugins.length === 0) return undefined;
    if (this.allowed) return this.#rules.find(plugins, text, settings);
    const fresh = plugins.filter((path) => !this.#leftOut.has(path));
    for (const path of fresh) this.#leftOut.add(path);
    if (fresh.length > 0) {
      this.#news.tell(
        `House rules are not run, for they are programs and this folder is not trusted: ${fresh.map((path) => basename(path)).join(", ")}.`,
      );
    }
    return undefined;
  }
}
