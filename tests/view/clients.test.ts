import { execFile } from "node:child_process";
import { copyFileSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { promisify } from "node:util";
import { expect, onTestFinished, test } from "vitest";
import { demoPath } from "../panel/support/viewed.ts";
import { projectFolder } from "../support/built.ts";
import { placewright, temporaryFolder } from "../support/commandLine.ts";
import { demoText } from "../support/demo.ts";
import { startView } from "./support/startedView.ts";

const run = promisify(execFile);
const client = join(projectFolder, "fixtures", "plugins", "finger-over-http.mjs");

// The filter's client is tried in tests/house/examples.test.ts.
test("the endpoints' client fingers a file, and says why when it cannot", async () => {
  const folder = temporaryFolder();
  copyFileSync(demoPath("evening-tide.musicxml"), join(folder, "evening-tide.musicxml"));
  const view = await startView(folder);
  onTestFinished(() => view.stop());
  const reel = demoText("millrace-reel");
  const [from, to] = [join(folder, "reel.xml"), join(folder, "fingered.xml")];
  writeFileSync(from, Buffer.from(`\ufeff${reel.replace("UTF-8", "UTF-16")}`, "utf16le"));
  await run(process.execPath, [client, view.address, from, to]);
  const fingered = readFileSync(to).toString("utf16le").replace("\ufeff", "").replace("UTF-16", "UTF-8");
  expect(fingered === (await placewright(["finger", "-"], reel)).out, "as the filter").toBe(true);
  writeFileSync(from, "<broken");
  await expect(run(process.execPath, [client, view.address, from, to])).rejects.toThrow(
    /Line 1, column \d+: /,
  );
});

test("it is as short as it can be", () => {
  const code = readFileSync(client, "utf8")
    .split("\n")
    .filter((line) => line.trim() !== "" && !line.startsWith("//"));
  expect(code.length).toBeLessThanOrEqual(8);
});
