import { counted } from "../../../shared/service/words.ts";
import type { ExitCode } from "../command.ts";
import type { CheckedFile } from "../formats/checked.ts";

/** Counts what was found, file by file. */
export class CheckSummary {
  #files = 0;
  #notes = 0;
  #accepted = 0;
  #unreadable = false;
  readonly #found = { error: 0, warning: 0, info: 0 };

  add({ problems, findings, accepted = 0, noteCount }: CheckedFile): void {
    this.#files += 1;
    this.#notes += noteCount;
    this.#accepted += accepted;
    for (const { severity } of [...problems, ...findings]) this.#found[severity] += 1;
    // A problem that is an error means that a file could not be read, or not all of it.
    this.#unreadable ||= problems.some(({ severity }) => severity === "error");
  }

  get exitCode(): ExitCode {
    if (this.#unreadable) return 2;
    return Object.values(this.#found).some((count) => count > 0) ? 1 : 0;
  }

  /** `3 files, 120 notes: 1 error, 2 remarks; 1 accepted`. */
  get text(): string {
    const { error, warning, info } = this.#found;
    const counts = [
      ...(error > 0 ? [counted(error, "error")] : []),
      ...(warning > 0 ? [counted(warning, "warning")] : []),
      ...(info > 0 ? [counted(info, "remark")] : []),
    ];
    const found = counts.length > 0 ? counts.join(", ") : "nothing found";
    const asides = this.#accepted > 0 ? `; ${this.#accepted} accepted` : "";
    return `${counted(this.#files, "file")}, ${counted(this.#notes, "note")}: ${found}${asides}`;
  }
}
