import type { CancellationToken, Connection, WorkDoneProgressParams } from "vscode-languageserver/node";
import type { RunningWork } from "./handlers/executeCommand.ts";
import { letMessagesIn } from "./letMessagesIn.ts";
import type { ServerState } from "./state.ts";

/**
 * Shows work in the editor: under the token of its request, else under one that the editor is asked to make. An editor
 * that can do neither is shown nothing; its request can still be cancelled.
 */
export async function beginWork(
  connection: Connection,
  state: ServerState,
  title: string,
  params: WorkDoneProgressParams,
  token: CancellationToken,
): Promise<RunningWork> {
  const progress = await reporterFor(connection, state, params);
  progress?.begin(title, undefined, undefined, true);
  // What has come in meanwhile may be that it is called off.
  await letMessagesIn();
  return {
    isCancelled: () => token.isCancellationRequested || progress?.token?.isCancellationRequested === true,
    onCancelled: (end) => {
      token.onCancellationRequested(end);
      progress?.token?.onCancellationRequested(end);
    },
    stage: (stage) => progress?.report(stage),
    done: () => progress?.done(),
  };
}

interface Reporter {
  readonly token?: CancellationToken;
  begin(title: string, percentage?: number, message?: string, cancellable?: boolean): void;
  report(message: string): void;
  done(): void;
}

async function reporterFor(
  connection: Connection,
  state: ServerState,
  params: WorkDoneProgressParams,
): Promise<Reporter | undefined> {
  if (params.workDoneToken !== undefined)
    return connection.window.attachWorkDoneProgress(params.workDoneToken);
  if (!state.features.showsProgress) return undefined;
  // An editor that does not want to show it says so; the work is done all the same.
  return connection.window.createWorkDoneProgress().catch(() => undefined);
}
