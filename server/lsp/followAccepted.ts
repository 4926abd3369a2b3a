import {
  type Connection,
  DidChangeTextDocumentNotification,
  DidCloseTextDocumentNotification,
  DidOpenTextDocumentNotification,
  TextDocumentSyncKind,
} from "vscode-languageserver/node";
import { acceptedFileName } from "../../shared/service/acceptedFile.ts";

/** Asks the editor to tell of files of accepted findings that it opens and changes, which are no scores. */
export function followAccepted(connection: Connection): void {
  const documentSelector = [{ scheme: "file", pattern: `**/${acceptedFileName}` }];
  const asked = [
    connection.client.register(DidOpenTextDocumentNotification.type, { documentSelector }),
    connection.client.register(DidChangeTextDocumentNotification.type, {
      documentSelector,
      syncKind: TextDocumentSyncKind.Full,
    }),
    connection.client.register(DidCloseTextDocumentNotification.type, { documentSelector }),
  ];
  for (const answer of asked) {
    answer.catch((error: unknown) =>
      connection.console.error(`files of accepted findings are not followed: ${String(error)}`),
    );
  }
}
