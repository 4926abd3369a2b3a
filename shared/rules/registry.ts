import type { Rule } from "./define.ts";
import { fingerOutsideRange } from "./fingerOutsideRange.ts";

/** Every rule, in the order in which they are listed to people. */
export const rules: readonly Rule[] = [fingerOutsideRange];
