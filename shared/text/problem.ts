import type { Span } from "./span.ts";

/** Something in a file that could not be read as it should be. Reading goes on around it. */
export interface Problem {
  readonly severity: "error" | "warning";
  readonly message: string;
  readonly span: Span;
}

/** A file or setting that cannot be used: says where, what, and what to do. */
export class InputError extends Error {
  override readonly name: string = "InputError";
}
