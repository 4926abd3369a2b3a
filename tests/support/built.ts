import { join } from "node:path";

/** The project's folder. */
export const projectFolder = join(import.meta.dirname, "..", "..");

/** A file of the build that the whole test run made or found up to date. */
export function builtFile(name: string): string {
  return join(projectFolder, "dist", name);
}
