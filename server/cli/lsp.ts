import { existsSync } from "node:fs";
import { createRequire } from "node:module";
import { join } from "node:path";
import { InputError } from "../../shared/text/problem.ts";
import type { Command } from "./command.ts";

export const lsp: Command = {
  name: "lsp",
  operands: "",
  summary: "Serve an editor over the Language Server Protocol.",
  description:
    "Starts the language server. Editors start it themselves; it speaks on standard input and output.",
  options: { stdio: { help: "Speak on standard input and output (the only way there is)." } },
  examples: ["placewright lsp --stdio"],
  async run() {
    // The server is a bundle of its own, beside this one: an editor that only checks files never loads it.
    const bundle = join(__dirname, "server.cjs");
    if (!existsSync(bundle)) {
      throw new InputError(`The language server is missing: there is no ${bundle}. Run npm run build.`);
    }
    createRequire(bundle)(bundle);
    return 0;
  },
};
