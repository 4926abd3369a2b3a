import { readdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { unzipSync } from "fflate";
import { afterEach, beforeEach, describe, expect, test } from "vitest";
import {
  containerRequests,
  type SavedContainer,
  type UnpackedScore,
} from "../../shared/protocol/container.ts";
import { analyse } from "../../shared/service/analyse.ts";
import { fingerScore } from "../../shared/service/fingerScore.ts";
import { applyEdits } from "../../shared/text/edits.ts";
import { temporaryFolder } from "../support/commandLine.ts";
import { besideTheScore, containerFile } from "../support/containerFile.ts";
import { demoText } from "../support/demo.ts";
import { bareEditor } from "../support/editorSessions.ts";
import { LspClient } from "../support/lspClient.ts";

const text = demoText("millrace-reel");
const fingered = applyEdits(text, fingerScore(analyse(text), { mode: "keep" }).edits);

describe("a compressed score that an editor holds", () => {
  let client: LspClient;
  let path: string;
  beforeEach(async () => {
    client = new LspClient();
    await client.request("initialize", { processId: null, rootUri: null, capabilities: bareEditor });
    client.notify("initialized", {});
    path = join(temporaryFolder(), "reel.mxl");
    writeFileSync(path, containerFile(text));
  });
  afterEach(() => client.kill());

  const base64 = (bytes: Uint8Array): string => Buffer.from(bytes).toString("base64");
  const save = (next: string, replaces = true): Promise<SavedContainer> =>
    client.request<SavedContainer>(containerRequests.save, {
      uri: pathToFileURL(path).href,
      container: base64(containerFile(text)),
      text: next,
      replaces,
    });

  test("is unpacked", async () => {
    const bytes = base64(containerFile(text));
    expect((await client.request<UnpackedScore>(containerRequests.unpack, { bytes })).text).toBe(text);
  });

  test("is saved with its fingering, and what lies beside the score stays", async () => {
    const { bytes } = await save(fingered);
    const written = readFileSync(path);
    expect(base64(written)).toBe(bytes);
    const files = unzipSync(written);
    expect(Object.keys(files)).toEqual(["META-INF/container.xml", "score.xml", "pictures/cover.bin"]);
    expect(new TextDecoder().decode(files["score.xml"])).toBe(fingered);
    expect(files["pictures/cover.bin"]).toEqual(besideTheScore);
  });

  test("is not saved when a note would change", async () => {
    await expect(save(text.replace("<step>D</step>", "<step>E</step>"))).rejects.toThrow(
      /Nothing was written/,
    );
    expect(readFileSync(path).equals(containerFile(text))).toBe(true);
    expect(readdirSync(join(path, ".."))).toEqual(["reel.mxl"]);
  });

  test("is not saved over what another program wrote meanwhile", async () => {
    writeFileSync(path, containerFile(`${text}\n`));
    await expect(save(fingered)).rejects.toThrow(/another program/);
    expect(readFileSync(path).equals(containerFile(`${text}\n`))).toBe(true);
    await save(fingered, false);
    expect(new TextDecoder().decode(unzipSync(readFileSync(path))["score.xml"])).toBe(fingered);
  });

  test.each([
    ["no container", { bytes: base64(new TextEncoder().encode("PK\u0003\u0004 broken")) }, /zip/i],
    ["no bytes", {}, /needs "bytes"/],
  ])("says what is wrong with %s", async (_, params, message) => {
    await expect(client.request(containerRequests.unpack, params)).rejects.toThrow(message);
  });

  test("is written to a disk only", async () => {
    const params = { uri: "untitled:x.mxl", container: "", text, replaces: false };
    await expect(client.request(containerRequests.save, params)).rejects.toThrow(/file on a disk/);
  });
});
