import { afterEach, describe, expect, test } from "vitest";
import type {
  CodeAction,
  Command,
  Diagnostic,
  MarkupContent,
  PublishDiagnosticsParams,
  TextEdit,
} from "vscode-languageserver/node";
import { acceptTitle } from "../../server/lsp/titles.ts";
import {
  acceptCommand,
  type CommandResult,
  fingerCommand,
  fixCommand,
} from "../../shared/protocol/commands.ts";
import { analyse } from "../../shared/service/analyse.ts";
import { fingerScore } from "../../shared/service/fingerScore.ts";
import { applyEdits, type Edit } from "../../shared/text/edits.ts";
import { demoText, withoutFingering } from "../support/demo.ts";
import { LspClient, LspError } from "../support/lspClient.ts";
import { Dice } from "../support/randomLines.ts";
import { randomChange } from "../support/randomTyping.ts";
import { ableEditor, type Change, offsetAt, positionAt, ScriptedEditor } from "../support/scriptedEditor.ts";

// Error codes: JSON-RPC 2.0 specification, section 5.1, and LSP 3.17, base protocol, ErrorCodes.
const methodNotFound = -32601;
const invalidParams = -32602;
const serverNotInitialized = -32002;
const invalidRequest = -32600;
const contentModified = -32801;
const requestFailed = -32803;

let clients: LspClient[] = [];

afterEach(() => {
  for (const client of clients) client.kill();
  clients = [];
});

function start(args?: readonly string[]): LspClient {
  const client = new LspClient(args);
  clients.push(client);
  return client;
}

/** An editor with one document. */
function editorOf(text: string, uri = "file:///scores/piece.musicxml"): ScriptedEditor {
  return new ScriptedEditor(start(), uri, text);
}

/** A demo in which one printed finger is a 5, and where that stands. */
function withFifthFinger(): { text: string; start: number; end: number } {
  const demo = demoText("lantern-waltz");
  const [element] = /<fingering[^>]*>[1-4]<\/fingering>/.exec(demo) ?? [];
  if (!element) throw new Error("the demo has no fingering");
  const start = demo.indexOf(element);
  const text = `${demo.slice(0, start)}${element.replace(/>[1-4]</, ">5<")}${demo.slice(start + element.length)}`;
  return { text, start, end: start + element.length };
}

function outsideRange({ diagnostics }: { diagnostics: readonly Diagnostic[] }): Diagnostic[] {
  return diagnostics.filter((diagnostic) => diagnostic.code === "finger-outside-range");
}

/** The server's edits as offsets. */
function spansOf(text: string, edits: readonly TextEdit[]): Edit[] {
  return edits.map(({ range, newText }) => ({
    span: { start: offsetAt(text, range.start), end: offsetAt(text, range.end) },
    text: newText,
  }));
}

async function refusal(promise: Promise<unknown>): Promise<LspError> {
  try {
    await promise;
  } catch (error) {
    if (error instanceof LspError) return error;
    throw error;
  }
  throw new Error("it was not refused");
}

describe("findings and fixes", () => {
  test("a finding arrives at its place, its fix is chosen, the finding goes and nothing else changes", async () => {
    const { text, start, end } = withFifthFinger();
    const editor = editorOf(text);
    await editor.initialize();
    const found = outsideRange(await editor.open());
    expect(found).toHaveLength(1);
    const [finding] = found as [Diagnostic];
    expect(finding).toMatchObject({ source: "placewright", severity: 1 });
    expect(finding.range).toEqual({ start: positionAt(text, start), end: positionAt(text, end) });

    const offered = await editor.codeActions(finding.range, [finding]);
    const fix = offered.find(({ diagnostics }) => diagnostics?.[0]?.code === finding.code)!;
    expect(fix.kind).toBe("quickfix");
    expect(fix.edit).toBeUndefined();
    expect(fix.diagnostics).toEqual([finding]);

    const { edit } = await editor.resolve(fix);
    const edits = spansOf(text, editor.editsOf(edit!)!);
    expect(editor.applyIfFresh(edit!)).toBe(true);
    expect(editor.text).toBe(applyEdits(text, edits));
    expect(withoutFingering(editor.text)).toBe(withoutFingering(text));
    expect(outsideRange(await editor.diagnostics())).toEqual([]);
    expect(editor.applyIfFresh(edit!)).toBe(false);
    expect(await editor.client.stop()).toBe(0);
    expect(editor.client.errorOutput).toBe("");
  });

  test("what is published is what the analysis found, related places included", async () => {
    const text = demoText("lantern-waltz");
    const editor = editorOf(text);
    await editor.initialize();
    const { diagnostics } = await editor.open();
    const { findings, problems } = analyse(text);
    const place = (span: { start: number; end: number }): Diagnostic["range"] => ({
      start: positionAt(text, span.start),
      end: positionAt(text, span.end),
    });
    expect(problems).toEqual([]);
    expect(diagnostics.map(({ code, message, range }) => ({ code, message, range }))).toEqual(
      findings.map(({ rule, message, span }) => ({ code: rule, message, range: place(span) })),
    );
    expect(diagnostics.map(({ relatedInformation = [] }) => relatedInformation)).toEqual(
      findings.map(({ related }) =>
        related.map(({ span, message }) => ({ message, location: { uri: editor.uri, range: place(span) } })),
      ),
    );
  });

  test("every fix of every finding in the demos can be chosen and leaves the music alone", async () => {
    const text = demoText("lantern-waltz");
    const editor = editorOf(text);
    await editor.initialize();
    const { diagnostics } = await editor.open();
    let chosen = 0;
    for (const diagnostic of diagnostics) {
      const offered = await editor.codeActions(diagnostic.range, [diagnostic]);
      for (const action of offered.filter(({ kind }) => kind === "quickfix")) {
        const { edit, command } = await editor.resolve(action);
        // Marking a finding as intended is no change of the score.
        if (command) continue;
        const after = applyEdits(text, spansOf(text, editor.editsOf(edit!)!));
        expect(withoutFingering(after), action.title).toBe(withoutFingering(text));
        expect(analyse(after).problems, action.title).toEqual([]);
        chosen += 1;
      }
    }
    const offeredByAnalysis = analyse(text).findings.flatMap(({ fixes }) => fixes);
    expect(chosen).toBeGreaterThanOrEqual(offeredByAnalysis.length);
  }, 120_000);

  test("a fix for an older text is refused", async () => {
    const { text, start } = withFifthFinger();
    const editor = editorOf(text);
    await editor.initialize();
    const [finding] = outsideRange(await editor.open()) as [Diagnostic];
    const [action] = await editor.codeActions(finding.range, [finding]);
    expect(action).toBeDefined();
    editor.change({ start: start - 1, end: start - 1, text: " " });
    expect((await refusal(editor.resolve(action!))).code).toBe(contentModified);
    const foreign = { title: "?", data: { does: "something" } };
    expect((await refusal(editor.resolve(foreign))).code).toBe(invalidParams);
  });

  test("an editor may ask for one kind of code action only", async () => {
    const { text } = withFifthFinger();
    const editor = editorOf(text);
    await editor.initialize();
    const [finding] = outsideRange(await editor.open()) as [Diagnostic];
    const ask = async (only: readonly string[]): Promise<(string | undefined)[]> => {
      const actions = await editor.client.request<CodeAction[]>("textDocument/codeAction", {
        textDocument: { uri: editor.uri },
        range: finding.range,
        context: { diagnostics: [], only },
      });
      return [...new Set(actions.map(({ kind }) => kind))];
    };
    expect(await ask(["quickfix"])).toEqual(["quickfix"]);
    expect(await ask(["refactor"])).toEqual(["refactor.rewrite"]);
    expect(await ask(["source"])).toEqual([]);
  });
});

describe("typing", () => {
  test("the server follows changes over CRLF and characters of two units, and drops findings of older texts", async () => {
    const words = "<!-- 𝄞 arpa 🎶 é -->";
    const text = demoText("millrace-reel")
      .replace("<part-list>", `${words}\n  <part-list>`)
      .replace(/\n/g, "\r\n");
    const editor = editorOf(text);
    await editor.initialize();
    await editor.open();
    const dice = new Dice(7);
    for (let round = 0; round < 60; round += 1) {
      const changes: Change[] = [];
      let next = editor.text;
      for (let count = dice.whole(1, 3); count > 0; count -= 1) {
        const from = next.indexOf("<!-- ") + 5;
        const change = randomChange(dice, next, from, next.indexOf(" -->", from));
        next = next.slice(0, change.start) + change.text + next.slice(change.end);
        changes.push(change);
      }
      editor.change(...changes);
      expect(editor.text).toBe(next);
    }
    editor.replace("<part-list>", "<!-- settled --><part-list>");
    const last = await editor.diagnostics();
    expect(last.version).toBe(editor.version);
    const published = editor.client.received.filter(
      ({ method }) => method === "textDocument/publishDiagnostics",
    );
    const versions = published.map(({ params }) => (params as PublishDiagnosticsParams).version!);
    expect(versions).toEqual([...versions].sort((a, b) => a - b));

    const before = editor.text;
    const expected = applyEdits(before, fingerScore(analyse(before), { mode: "fresh" }).edits);
    const { applied } = await editor.execute<CommandResult>(fingerCommand, {
      uri: editor.uri,
      scope: "score",
      position: { line: 0, character: 0 },
      mode: "fresh",
      version: editor.version,
    });
    expect(applied).toBe(true);
    expect(editor.text).toBe(expected);
  });

  test("a text that changes again before it was read has no findings of its own", async () => {
    const { text, start } = withFifthFinger();
    const editor = editorOf(text);
    await editor.initialize();
    await editor.open();
    const digit = text.indexOf(">5<", start) + 1;
    for (const finger of ["6", "7", "8", "3"]) editor.change({ start: digit, end: digit + 1, text: finger });
    expect(outsideRange(await editor.diagnostics())).toEqual([]);
    const versions = editor.client.received
      .filter(({ method }) => method === "textDocument/publishDiagnostics")
      .map(({ params }) => (params as PublishDiagnosticsParams).version);
    expect(versions).toEqual([1, editor.version]);
  });

  test("a text that is sent whole is taken whole", async () => {
    const { text } = withFifthFinger();
    const editor = editorOf(demoText("millrace-reel"));
    await editor.initialize();
    await editor.open();
    editor.changeAll(text);
    const found = editor.diagnostics();
    expect(outsideRange(await found)).toHaveLength(1);
  });

  test("XML that breaks while typing is reported inside the text, and mended text is as before", async () => {
    const { text, start } = withFifthFinger();
    const editor = editorOf(text);
    await editor.initialize();
    const whole = await editor.open();
    editor.change({ start, end: start + 1, text: "" });
    const broken = await editor.diagnostics();
    expect(broken.diagnostics.length).toBeGreaterThan(0);
    const lines = editor.text.split("\n");
    for (const { code, source, range, message } of broken.diagnostics) {
      expect({ code, source }).toEqual({ code: "not-readable", source: "placewright" });
      expect(message).not.toBe("");
      expect(range.end.line).toBeLessThan(lines.length);
      expect(range.end.character).toBeLessThanOrEqual(lines[range.end.line]!.length);
    }
    expect(await editor.hover(positionAt(editor.text, start))).toBeNull();
    editor.change({ start, end: start, text: "<" });
    expect((await editor.diagnostics()).diagnostics).toEqual(whole.diagnostics);
  });

  test("a change that is none lets the document go, so that no edit is made for a wrong text", async () => {
    const { text } = withFifthFinger();
    const editor = editorOf(text);
    await editor.initialize();
    const [finding] = outsideRange(await editor.open()) as [Diagnostic];
    const cleared = editor.client.next(
      ({ method, params }) =>
        method === "textDocument/publishDiagnostics" &&
        (params as PublishDiagnosticsParams).diagnostics.length === 0,
      "an empty list",
    );
    editor.client.notify("textDocument/didChange", {
      textDocument: { uri: editor.uri, version: 2 },
      contentChanges: [{ range: { start: { line: 0 }, end: {} }, text: "?" }],
    });
    await cleared;
    expect(await editor.codeActions(finding.range)).toEqual([]);
    expect(editor.client.received.some(({ method }) => method === "window/logMessage")).toBe(true);
    expect(outsideRange(await editor.open())).toHaveLength(1);
  });
});

describe("which documents are read", () => {
  const plainXml = '<?xml version="1.0"?>\n<project><name>harp</name>\n';

  test("XML that is no score has no findings, even when it is broken; closing a score clears its findings", async () => {
    const editor = editorOf(plainXml, "file:///project/build.xml");
    await editor.initialize();
    editor.client.notify("textDocument/didOpen", {
      textDocument: { uri: editor.uri, languageId: "xml", version: 1, text: plainXml },
    });
    const score = new ScriptedEditor(editor.client, "file:///scores/piece.xml", withFifthFinger().text);
    expect(outsideRange(await score.open("xml"))).toHaveLength(1);
    const cleared = score.client.next(
      ({ params }) => (params as PublishDiagnosticsParams).uri === score.uri,
      "an empty list",
    );
    score.close();
    expect((await cleared).params).toEqual({ uri: score.uri, diagnostics: [] });
    const uris = editor.client.received.map(({ params }) => (params as PublishDiagnosticsParams).uri);
    expect(uris).not.toContain(editor.uri);
    expect(await editor.hover({ line: 1, character: 3 })).toBeNull();
    expect(
      await editor.codeActions({ start: { line: 1, character: 3 }, end: { line: 1, character: 3 } }),
    ).toEqual([]);
    const refused = await refusal(
      editor.execute(fingerCommand, {
        uri: editor.uri,
        scope: "score",
        position: { line: 0, character: 0 },
        mode: "keep",
        version: 1,
      }),
    );
    expect(refused.message).toContain("not a MusicXML score");
  });

  test("a file that calls itself MusicXML is told when it is none", async () => {
    const editor = editorOf('<?xml version="1.0"?>\n<project/>\n');
    await editor.initialize();
    const { diagnostics } = await editor.open();
    expect(diagnostics).toHaveLength(1);
    expect(diagnostics[0]!.message).toContain("<score-partwise>");
  });

  test("a score without a harp says which parts it has", async () => {
    const parts = ["Flute", "Violin"]
      .map((name, i) => `<score-part id="P${i}"><part-name>${name}</part-name></score-part>`)
      .join("");
    const music = [0, 1].map((i) => `<part id="P${i}"><measure number="1"/></part>`).join("");
    const editor = editorOf(`<score-partwise><part-list>${parts}</part-list>${music}</score-partwise>`);
    await editor.initialize();
    const { diagnostics } = await editor.open();
    expect(diagnostics[0]).toMatchObject({ severity: 1, code: "not-readable", source: "placewright" });
    expect(diagnostics[0]!.message).toContain("Flute (P0), Violin (P1)");
  });
});

describe("hover", () => {
  test("anywhere in a note tells string, finger, placing, costs and other fingers", async () => {
    const editor = editorOf(demoText("lantern-waltz"));
    await editor.initialize();
    await editor.open();
    const note = editor.text.indexOf("<note>", editor.text.indexOf("</fingering>") - 600);
    const end = editor.text.indexOf("</note>", note) + "</note>".length;
    const written = editor.text.slice(note, end);
    const pitch = `${/<step>(.)</.exec(written)![1]}${/<octave>(.)</.exec(written)![1]}`;
    const answers = await Promise.all(
      [note, note + 20, end - 3].map((offset) => editor.hover(positionAt(editor.text, offset))),
    );
    const [first] = answers;
    expect(answers[1]).toEqual(first);
    expect(answers[2]).toEqual(first);
    expect(first!.range).toEqual({ start: positionAt(editor.text, note), end: positionAt(editor.text, end) });
    const { kind, value } = first!.contents as MarkupContent;
    expect(kind).toBe("markdown");
    expect(value).toContain(`**${pitch}**`);
    for (const said of [
      /hand, bar \d+, beat \d/,
      /string, \d(st|nd|rd|th) octave/,
      /finger/,
      /Placing/,
      /Cost/,
      /instead costs/,
    ]) {
      expect(value).toMatch(said);
    }
    expect(await editor.hover({ line: 0, character: 3 })).toBeNull();
  });
});

describe("finger commands", () => {
  const request = (editor: ScriptedEditor, scope: string, place: string, mode = "keep"): object => ({
    uri: editor.uri,
    scope,
    position: editor.placeOf(place),
    mode,
    version: editor.version,
  });

  test.each(["placing", "bar", "hand", "score"])(
    "fingers this %s and leaves all else alone",
    async (scope) => {
      const text = demoText("millrace-reel");
      const editor = editorOf(text);
      await editor.initialize();
      await editor.open();
      const result = await editor.execute<CommandResult>(fingerCommand, request(editor, scope, "<pitch>"));
      expect(result.applied).toBe(true);
      expect(result.edits).toBeGreaterThan(0);
      expect(withoutFingering(editor.text)).toBe(withoutFingering(text));
      const fingered = editor.text.split("<fingering").length - 1;
      const inFirstBar =
        editor.text.slice(0, editor.text.indexOf("</measure>")).split("<fingering").length - 1;
      const notes = editor.text.split("<pitch>").length - 1;
      if (scope === "placing") expect(fingered).toBeLessThanOrEqual(4);
      if (scope === "bar") expect(fingered).toBe(inFirstBar);
      if (scope === "hand") expect(fingered).toBeGreaterThan(inFirstBar);
      if (scope === "score") expect(fingered).toBeGreaterThan(notes * 0.9);
      expect(outsideRange(await editor.diagnostics())).toEqual([]);
      // The same again has nothing left to do, and says so.
      // A bar may cut a placing, whose bracket is then missing: no promise there.
      if (scope === "bar") return;
      const told = editor.client.next(({ method }) => method === "window/showMessage", "a message");
      const again = editor.execute<CommandResult>(fingerCommand, request(editor, scope, "<pitch>"));
      const [message, second] = await Promise.all([told, again]);
      expect(second).toEqual({ applied: false, edits: 0 });
      expect((message.params as { message: string }).message).toContain("nothing to change");
    },
  );

  test("fingering anew is offered only where something is printed, and as code actions too", async () => {
    const editor = editorOf(demoText("millrace-reel"));
    await editor.initialize();
    await editor.open();
    const titles = async (): Promise<string[]> => {
      const at = editor.placeOf("<pitch>");
      return (await editor.codeActions({ start: at, end: at })).map(({ title }) => title);
    };
    const plain = ["Finger this placing", "Finger this bar", "Finger this hand", "Finger the whole score"];
    expect(await titles()).toEqual(plain);
    const at = editor.placeOf("<pitch>");
    const actions = await editor.codeActions({ start: at, end: at });
    const resolved = await editor.resolve(actions.find(({ title }) => title === "Finger this bar")!);
    expect(editor.applyIfFresh(resolved.edit!)).toBe(true);
    expect(editor.text).toContain("<fingering");
    const offered = await titles();
    expect(offered.filter((title) => /finger/i.test(title))).toEqual(
      expect.arrayContaining([...plain, "Finger this bar anew", "Finger the whole score anew"]),
    );
  });

  test("an older version, a wrong argument and a place without music are refused with a reason", async () => {
    const editor = editorOf(demoText("millrace-reel"));
    await editor.initialize();
    await editor.open();
    const asked = request(editor, "bar", "<pitch>");
    const stale = await refusal(editor.execute(fingerCommand, { ...asked, version: 0 }));
    expect(stale.code).toBe(contentModified);
    for (const wrong of [
      undefined,
      null,
      {},
      { ...asked, scope: "page" },
      { ...asked, mode: "again" },
      { ...asked, position: { line: "1" } },
      { ...asked, version: "1" },
      { ...asked, uri: 7 },
    ]) {
      expect((await refusal(editor.execute(fingerCommand, wrong))).code, JSON.stringify(wrong)).toBe(
        invalidParams,
      );
    }
    expect((await refusal(editor.execute("placewright.unknown", {}))).code).toBe(invalidParams);
    const elsewhere = await refusal(editor.execute(fingerCommand, request(editor, "bar", "<part-list>")));
    expect(elsewhere.message).toContain("Put the cursor in a bar");
    const noNote = await refusal(editor.execute(fingerCommand, request(editor, "placing", "<part-list>")));
    expect(noNote.message).toContain("Put the cursor in a <note>");
    const unknown = await refusal(editor.execute(fingerCommand, { ...asked, uri: "file:///other.musicxml" }));
    expect(unknown.code).toBe(requestFailed);
  });

  test("an edit that the editor does not take is reported, and the text stays", async () => {
    const editor = editorOf(demoText("millrace-reel"));
    await editor.initialize();
    await editor.open();
    editor.client.answers.set("workspace/applyEdit", () => ({
      applied: false,
      failureReason: "the text changed",
    }));
    const told = editor.client.next(({ method }) => method === "window/showMessage", "a message");
    const result = await editor.execute<CommandResult>(fingerCommand, request(editor, "bar", "<pitch>"));
    expect(result.applied).toBe(false);
    expect(((await told).params as { message: string }).message).toContain("the text changed");
    expect(editor.text).toBe(demoText("millrace-reel"));
  });
});

describe("editors that know less", () => {
  test("one that says nothing of itself gets findings and hover, and no edit", async () => {
    const { text } = withFifthFinger();
    const editor = editorOf(text);
    const { capabilities } = await editor.initialize({});
    expect(capabilities.positionEncoding).toBe("utf-16");
    const [finding] = outsideRange(await editor.open()) as [Diagnostic];
    expect(finding).not.toHaveProperty("relatedInformation");
    expect(await editor.codeActions(finding.range)).toEqual([]);
    const { contents } = (await editor.hover(finding.range.start))!;
    expect((contents as MarkupContent).kind).toBe("plaintext");
    expect((contents as MarkupContent).value).not.toContain("**");
    const refused = await refusal(
      editor.execute(fingerCommand, {
        uri: editor.uri,
        scope: "bar",
        position: finding.range.start,
        mode: "keep",
        version: 1,
      }),
    );
    expect(refused.message).toContain("workspace/applyEdit");
  });

  test("one that knows commands only gets commands", async () => {
    const { text } = withFifthFinger();
    const editor = editorOf(text);
    await editor.initialize({ workspace: { applyEdit: true } });
    const [finding] = outsideRange(await editor.open()) as [Diagnostic];
    const offered = await editor.codeActions(finding.range);
    expect(offered.every(({ command }) => typeof command === "string")).toBe(true);
    const fix = offered.find(({ command }) => command === fixCommand)!;
    const result = await editor.execute<CommandResult>(fixCommand, fix.arguments![0]);
    expect(result.applied).toBe(true);
    expect(outsideRange(await editor.diagnostics())).toEqual([]);
    expect((await refusal(editor.execute(fixCommand, fix.arguments![0]))).code).toBe(contentModified);
  });

  test("one that resolves nothing gets the edits of fixes at once", async () => {
    const { text } = withFifthFinger();
    const editor = editorOf(text);
    await editor.initialize({ textDocument: { codeAction: { codeActionLiteralSupport: {} } } });
    const [finding] = outsideRange(await editor.open()) as [Diagnostic];
    const offered = await editor.codeActions(finding.range);
    expect(offered.length).toBeGreaterThan(1);
    const marks = offered.filter(({ title }) => title === acceptTitle);
    expect(marks.map(({ command }) => (command as unknown as Command).command)).toEqual([acceptCommand]);
    for (const action of offered.filter((each) => !marks.includes(each)))
      expect(action.edit, action.title).toBeDefined();
    const fix = offered.find(({ kind }) => kind === "quickfix")!;
    expect(fix.edit).toHaveProperty("changes");
    expect(editor.applyIfFresh(fix.edit!)).toBe(true);
    expect(outsideRange(await editor.diagnostics())).toEqual([]);
  });

  test.each([
    ["utf-8", Buffer.byteLength],
    ["utf-32", (text: string): number => [...text].length],
  ] as const)("one that counts in %s gets columns in it", async (encoding, length) => {
    const { text, start, end } = withFifthFinger();
    const before = "<!-- é 𝄞 -->";
    const editor = editorOf(`${text.slice(0, start)}${before}${text.slice(start)}`);
    const { capabilities } = await editor.initialize({
      ...ableEditor,
      general: { positionEncodings: [encoding] },
    });
    expect(capabilities.positionEncoding).toBe(encoding);
    const [finding] = outsideRange(await editor.open()) as [Diagnostic];
    const line = text.slice(text.lastIndexOf("\n", start) + 1, start) + before;
    expect(finding.range.start.character).toBe(length(line));
    expect(finding.range.end.character).toBe(length(line + text.slice(start, end)));
    expect(await editor.hover(finding.range.start)).not.toBeNull();
    expect(
      (await editor.codeActions({ start: finding.range.end, end: finding.range.end })).length,
    ).toBeGreaterThan(0);
  });
});

describe("rough handling", () => {
  test("a request that makes no sense costs an error answer, no more", async () => {
    const editor = editorOf(withFifthFinger().text);
    await editor.initialize();
    await editor.open();
    const { client } = editor;
    for (const params of [{}, { textDocument: null }, { textDocument: { uri: editor.uri }, position: "?" }]) {
      expect((await refusal(client.request("textDocument/hover", params))).message).not.toBe("");
    }
    expect((await refusal(client.request("textDocument/unheardOf", {}))).code).toBe(methodNotFound);
    client.notify("textDocument/didOpen", {});
    client.notify("textDocument/didChange", null);
    client.notify("$/nothing", {});
    for (const garbage of [
      "Content-Length: 9\r\n\r\n{not json",
      "Content-Length: 2\r\n\r\n[]",
      "Content-Length: 4\r\n\r\nnull",
      "Content-Length: many\r\n\r\n",
      "no header at all\r\n\r\n",
    ]) {
      client.sendRaw(garbage);
      const answer = editor.hover(editor.placeOf("<fingering"));
      // The library leaves what came in one piece with a broken header for when the next piece comes.
      const nudges = setInterval(() => client.notify("$/nothing", {}), 50);
      expect(await answer.finally(() => clearInterval(nudges)), garbage).not.toBeNull();
    }
    expect(client.received.some(({ method }) => method === "window/logMessage")).toBe(true);
    expect(await client.stop()).toBe(0);
  });

  test("nothing is answered before initialize and after shutdown", async () => {
    const editor = editorOf(demoText("millrace-reel"));
    expect((await refusal(editor.hover({ line: 0, character: 0 }))).code).toBe(serverNotInitialized);
    await editor.initialize();
    expect((await refusal(editor.initialize())).code).toBe(invalidRequest);
    await editor.client.request("shutdown", null);
    expect((await refusal(editor.hover({ line: 0, character: 0 }))).code).toBe(invalidRequest);
    editor.client.notify("exit", null);
    expect(await editor.client.exited).toBe(0);
  });

  test("an exit without shutdown is told by the exit code, and --stdio is the default", async () => {
    const client = start([]);
    await new ScriptedEditor(client, "file:///a.musicxml", "").initialize();
    client.notify("exit", null);
    expect(await client.exited).toBe(1);
  });
});
