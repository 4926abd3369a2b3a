// The language server's process. The editor says by an argument how it speaks: --stdio (the default), --node-ipc,
// --socket=PORT or --pipe=NAME.
import { createConnection, ProposedFeatures } from "vscode-languageserver/node";
import { serve } from "./serve.ts";

const transport = /^--(stdio|node-ipc|socket|pipe)(=|$)/;
if (!process.argv.slice(2).some((argument) => transport.test(argument))) process.argv.push("--stdio");

serve(createConnection(ProposedFeatures.all));
