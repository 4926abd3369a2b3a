// The language server's process. The editor says by an argument how it speaks: --stdio (the default), --node-ipc,
// --socket=PORT or --pipe=NAME. The same bundle reads long texts in a thread.
import { createConnection, ProposedFeatures } from "vscode-languageserver/node";
import { isReadingThread, runReadingThread } from "./readingThread.ts";
import { serve } from "./serve.ts";

const transport = /^--(stdio|node-ipc|socket|pipe)(=|$)/;

if (isReadingThread()) {
  runReadingThread();
} else {
  if (!process.argv.slice(2).some((argument) => transport.test(argument))) process.argv.push("--stdio");
  serve(createConnection(ProposedFeatures.all), __filename);
}
