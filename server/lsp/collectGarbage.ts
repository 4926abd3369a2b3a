import { setFlagsFromString } from "node:v8";
import { runInNewContext } from "node:vm";

/** Gives memory that is not used any more back to the machine. Takes a tenth of a second: only for a server at rest. */
export function collectGarbage(): void {
  setFlagsFromString("--expose-gc");
  (runInNewContext("gc") as () => void)();
}
