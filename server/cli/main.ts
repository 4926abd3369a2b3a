import { isHouseThread, runHouseThread } from "../house/houseThread.ts";
import { isCheckThread, runCheckThread } from "./checking/checkThreads.ts";
import { isPostedThread, runPostedThread } from "./posted/postedWork.ts";
import { runCommandLine } from "./runCommandLine.ts";
import { processTerminal } from "./terminal.ts";

// The same bundle works in threads.
if (isCheckThread()) {
  runCheckThread();
} else if (isHouseThread()) {
  runHouseThread();
} else if (isPostedThread()) {
  runPostedThread();
} else {
  // The code is set, not exited with: output that is still on its way must arrive.
  runCommandLine(process.argv.slice(2), processTerminal(__filename)).then((code) => {
    process.exitCode = code;
  });
}
