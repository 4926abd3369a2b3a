import { runCommandLine } from "./runCommandLine.ts";
import { processTerminal } from "./terminal.ts";

// The code is set, not exited with: output that is still on its way must arrive.
runCommandLine(process.argv.slice(2), processTerminal()).then((code) => {
  process.exitCode = code;
});
