import { build } from "../../.scripts/steps.mjs";

/** Builds dist/ before the first test, unless it was built from these very sources. */
export function setup(): void {
  build();
}
