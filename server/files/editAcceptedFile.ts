import { applyEdits, type Edit } from "../../shared/text/edits.ts";
import { replaceFile } from "./replaceFile.ts";
import type { AcceptedPlace } from "./settingsFiles.ts";

/**
 * Edits a file of accepted findings, which need not be there, whole or not at all.
 * @throws InputError when it cannot be written, or another program has changed it meanwhile.
 */
export async function editAcceptedFile({ path, text }: AcceptedPlace, edits: readonly Edit[]): Promise<void> {
  const bytes = Buffer.from(applyEdits(text ?? "", edits));
  await replaceFile(path, bytes, text === undefined ? undefined : Buffer.from(text));
}
