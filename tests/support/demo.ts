import { readFileSync } from "node:fs";
import { join } from "node:path";
import { projectFolder } from "./built.ts";

/** The text of a demo score: `lantern-waltz` is fingered, `evening-tide` in part, `millrace-reel` not at all. */
export function demoText(name: "lantern-waltz" | "evening-tide" | "millrace-reel"): string {
  return readFileSync(join(projectFolder, "fixtures", "demo", `${name}.musicxml`), "utf8");
}

/** The text with all fingerings and bracket directions taken out, wrappers that they leave empty too, and all blanks. */
export function withoutFingering(text: string): string {
  return text
    .replace(/<fingering\b[^>]*?(\/>|>[^<]*<\/fingering>)/g, "")
    .replace(/<direction\b[^>]*>\s*<direction-type>\s*<bracket\b[^>]*\/>[\s\S]*?<\/direction>/g, "")
    .replace(/<technical>\s*<\/technical>/g, "")
    .replace(/<notations>\s*<\/notations>/g, "")
    .replace(/\s+/g, "");
}
