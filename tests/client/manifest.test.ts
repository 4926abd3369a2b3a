import { existsSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { projectFolder } from "../support/built.ts";

interface Manifest {
  readonly icon: string;
  readonly files: readonly string[];
  readonly activationEvents: readonly string[];
  readonly capabilities: Readonly<Record<string, unknown>>;
  readonly contributes: {
    readonly commands: readonly { command: string; title: string; category: string }[];
    readonly menus: { readonly commandPalette: readonly { command: string }[] };
    readonly configuration: {
      readonly properties: Readonly<
        Record<string, { default?: unknown; description?: string; markdownDescription?: string }>
      >;
    };
    readonly walkthroughs: readonly {
      readonly icon: string;
      readonly steps: readonly {
        readonly description: string;
        readonly media: { readonly markdown?: string; readonly image?: string };
        readonly completionEvents?: readonly string[];
      }[];
    }[];
  };
}

const manifest = JSON.parse(readFileSync(join(projectFolder, "package.json"), "utf8")) as Manifest;
const { commands, configuration, walkthroughs, menus } = manifest.contributes;
const sources = ["commands.ts", "extension.ts", "panel/host.ts"].map((file) =>
  readFileSync(join(projectFolder, "client", file), "utf8"),
);

describe("what the extension says of itself", () => {
  test("every command has a plain title in one category, and something runs it", () => {
    for (const { command, title, category } of commands) {
      expect(category).toBe("Placewright");
      expect(title).toMatch(/^[A-Z][^:]*[^.]$/);
      const name = command.replace("placewright.", "");
      expect(
        sources.some((source) => source.includes(`"${command}"`) || source.includes(`command("${name}"`)),
        command,
      ).toBe(true);
    }
  });

  test("menus and the walkthrough name commands that there are", () => {
    const known = new Set(commands.map(({ command }) => command));
    const named = [
      ...menus.commandPalette.map(({ command }) => command),
      ...walkthroughs.flatMap(({ steps }) =>
        steps.flatMap(({ description, completionEvents = [] }) => [
          ...[...description.matchAll(/\(command:([\w.]+)\)/g)].map(([, command]) => command!),
          ...completionEvents.map((event) => event.replace("onCommand:", "")),
        ]),
      ),
    ];
    expect(named.filter((command) => !known.has(command))).toEqual([]);
  });

  test("what it shows is there, and is packed", () => {
    const shown = [
      manifest.icon,
      ...walkthroughs.flatMap(({ icon, steps }) => [
        icon,
        ...steps.map(({ media }) => media.markdown ?? media.image!),
      ]),
    ];
    for (const path of shown) {
      expect(existsSync(join(projectFolder, path)), path).toBe(true);
      expect(
        manifest.files.some((packed) => path.startsWith(`${packed}/`)),
        path,
      ).toBe(true);
    }
  });

  test("every setting is described and has a default that the code falls back to", () => {
    for (const [name, setting] of Object.entries(configuration.properties)) {
      expect(name).toMatch(/^placewright\./);
      expect(setting.description ?? setting.markdownDescription, name).toMatch(/^[A-Z].{20,}\.$/);
      expect(setting.default, name).toBeDefined();
    }
  });

  test("is woken by MusicXML and by XML that may be MusicXML, and by nothing else", () => {
    expect(manifest.activationEvents).toEqual([
      "onLanguage:musicxml",
      "onLanguage:xml",
      "onWebviewPanel:placewright.panel",
    ]);
  });

  test("runs nothing of a folder's own unless it is trusted, and says that it needs a disk", () => {
    expect(manifest.capabilities.untrustedWorkspaces).toMatchObject({
      supported: "limited",
      description: expect.stringContaining("House rules"),
    });
    expect(manifest.capabilities.virtualWorkspaces).toMatchObject({ supported: false });
  });
});
