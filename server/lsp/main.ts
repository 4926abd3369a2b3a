// The language server's process. The editor says by an argument how it speaks: --stdio (the default), --node-ipc,
// --socket=PORT or --pipe=NAME. The same bundle works in threads.
import { createConnection, ProposedFeatures } from "vscode-languageserver/node";
import { isHouseThread, runHouseThread } from "../house/houseThread.ts";
import { serve } from "./serve.ts";
import { isWorkThread, runWorkThread } from "./threadWork.ts";

const transport = /^--(stdio|node-ipc|socket|pipe)(=|$)/;

if (isWorkThread()) {
  runWorkThread();
} else if (isHouseThread()) {
  runHouseThread();
} else {
  if (!process.argv.slice(2).some((argument) => transport.test(argument))) process.argv.push("--stdio");
  serve(createConnection(ProposedFeatures.all), __filename);
}
