import { mkdirSync, renameSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { strToU8, zipSync } from "fflate";
import { afterEach, describe, expect, test } from "vitest";
import type {
  CodeAction,
  CodeLens,
  CompletionList,
  Diagnostic,
  DocumentDiagnosticReport,
  DocumentHighlight,
  DocumentSymbol,
  FoldingRange,
  InitializeResult,
  InlayHint,
  Location,
  SelectionRange,
  SymbolInformation,
  WorkspaceDiagnosticReport,
} from "vscode-languageserver/node";
import { decodeScoreFile } from "../../shared/musicxml/scoreFile.ts";
import { fingerCommand, fixAllCommand } from "../../shared/protocol/commands.ts";
import { gather } from "../../shared/rules/gather.ts";
import { analyse } from "../../shared/service/analyse.ts";
import { temporaryFolder } from "../support/commandLine.ts";
import { corpusFile, hasCorpus, noCorpus } from "../support/corpus.ts";
import { demoText, withoutFingering } from "../support/demo.ts";
import { bareEditor, fullEditor } from "../support/editorSessions.ts";
import { largeScore } from "../support/largeScore.ts";
import { LspClient, LspError } from "../support/lspClient.ts";
import { offsetAt, positionAt, ScriptedEditor } from "../support/scriptedEditor.ts";
import { tinyScore } from "../support/tinyScore.ts";

// Error codes: LSP 3.17, base protocol, ErrorCodes.
const contentModified = -32801;
const requestCancelled = -32800;

let client: LspClient | undefined;

afterEach(() => client?.kill());

function editorOf(text: string, uri = "file:///scores/piece.musicxml"): ScriptedEditor {
  client = new LspClient();
  client.answers.set("client/registerCapability", () => null);
  client.answers.set("window/workDoneProgress/create", () => null);
  for (const what of ["diagnostic", "inlayHint", "codeLens"])
    client.answers.set(`workspace/${what}/refresh`, () => null);
  return new ScriptedEditor(client, uri, text);
}

/** Tells the server of the document without waiting for findings to be pushed. */
function openQuietly(editor: ScriptedEditor): void {
  const { uri, version, text } = editor;
  editor.client.notify("textDocument/didOpen", {
    textDocument: { uri, languageId: "musicxml", version, text },
  });
}

const scores: readonly (readonly [name: string, text: () => string, isThere: boolean])[] = [
  ["a demo", () => demoText("lantern-waltz"), true],
  [hasCorpus ? "a real file" : `a real file: ${noCorpus}`, () => realText(), hasCorpus],
];

function realText(): string {
  return decodeScoreFile(corpusFile("lieder/Brahms_O_komme__holde_Sommernacht_lc5098705.mxl")).text;
}

describe.each(scores)("everything that an editor asks, of %s", (_name, textOf, isThere) => {
  test.skipIf(!isThere).each([
    ["a full editor", fullEditor],
    ["a bare one", bareEditor],
  ])("by %s", async (_editor, capabilities) => {
    const text = textOf();
    const editor = editorOf(text);
    const { capabilities: offered }: InitializeResult = await editor.initialize(capabilities);
    expect(offered.diagnosticProvider !== undefined).toBe(capabilities === fullEditor);
    const published = capabilities === fullEditor ? undefined : editor.diagnostics();
    openQuietly(editor);
    const analysis = analyse(text);
    const textDocument = { uri: editor.uri };
    const ask = <R>(method: string, params: object = {}): Promise<R> =>
      editor.client.request<R>(`textDocument/${method}`, { textDocument, ...params });
    const spanOf = ({ range }: { range: Location["range"] }): string =>
      text.slice(offsetAt(text, range.start), offsetAt(text, range.end));
    const whole = { start: { line: 0, character: 0 }, end: { line: 1_000_000, character: 0 } };
    const [first] = analysis.hands[0]!.line.events[0]!.notes;
    const inNote = positionAt(text, first!.note.site.startTag.end);

    const told = published
      ? (await published).diagnostics
      : (await ask<DocumentDiagnosticReport & { readonly items: Diagnostic[] }>("diagnostic")).items;
    expect(told.map(({ code, range }) => [code, offsetAt(text, range.start)])).toEqual([
      ...analysis.problems.map(({ span }) => ["not-readable", span.start]),
      ...gather(analysis.findings).map(({ rule, span }) => [rule, span.start]),
    ]);
    const actions = await editor.codeActions(whole, told);
    // An editor that takes no edits gets none.
    expect(actions.length > 0).toBe(capabilities === fullEditor);

    const symbols = await ask<(DocumentSymbol | SymbolInformation)[]>("documentSymbol");
    const bars = symbols.flatMap((symbol) => ("children" in symbol ? symbol.children! : [symbol]));
    const printed = [...text.matchAll(/<measure [^>]*number="([^"]*)"/g)].map(
      ([, number]) => `bar ${number}`,
    );
    expect(bars.map(({ name }) => name).filter((name) => /^bar /.test(name))).toEqual(printed);

    const folds = await ask<FoldingRange[]>("foldingRange");
    expect(folds.length).toBeGreaterThan(printed.length);
    expect(folds.every(({ startLine, endLine }) => startLine < endLine)).toBe(true);

    const [selection] = await ask<SelectionRange[]>("selectionRange", { positions: [inNote] });
    expect(spanOf(selection!)).toMatch(/^<note[\s>]/);
    expect(spanOf(selection!.parent!)).toMatch(/^<measure[\s>]/);

    const marked = await ask<DocumentHighlight[]>("documentHighlight", { position: inNote });
    expect(marked.length).toBeGreaterThan(0);
    expect(marked.every((mark) => /^<(note|fingering)/.test(spanOf(mark)))).toBe(true);

    const hints = await ask<InlayHint[]>("inlayHint", { range: whole });
    expect(hints.length).toBe(
      analysis
        .harp!.parts.flatMap((part) => part.notes)
        .filter((note) => !analysis.harp!.otherInstrument.has(note)).length,
    );
    expect(hints[0]!.label).toMatch(/^bar \S+, beat 1, (right|left), [A-G]/);
    const few = await ask<InlayHint[]>("inlayHint", { range: { start: inNote, end: inNote } });
    expect(few.length).toBeLessThan(2);

    const lenses = await ask<CodeLens[]>("codeLens");
    for (const lens of lenses) expect(spanOf(lens)).toMatch(/^<measure[\s>]/);

    const position = inNote;
    const places = await ask<Location[]>("references", { position, context: { includeDeclaration: true } });
    for (const place of [...places, ...(await ask<Location[]>("definition", { position }))])
      expect(spanOf(place)).toMatch(/^<note/);
    expect(await ask("hover", { position })).not.toBeNull();

    const fingering = [...analysis.hands[0]!.line.places.keys()].find((note) => note.fingerings.length > 0);
    const { items } = await ask<CompletionList>("completion", {
      position: positionAt(text, fingering!.fingerings[0]!.content.end),
    });
    expect(items.length).toBeGreaterThan(1);
    for (const { label } of items) expect(label).toMatch(/^[1-4]$/);
    expect(lenses.some(({ command }) => /^(right|left) /.test(command!.title))).toBe(true);
    expect(lenses.some(({ command }) => /^passage /.test(command!.title))).toBe(true);
    const found = await editor.client.request<SymbolInformation[]>("workspace/symbol", { query: printed[0] });
    expect(found.map(({ name }) => name)).toContain(printed[0]);
    expect(await editor.client.stop()).toBe(0);
    expect(editor.client.errorOutput).toBe("");
  });
});

describe("findings that are asked for", () => {
  const wrong = tinyScore("C4/4:5 D4/4:2").text;

  test("come once, are not sent as well, and are unchanged until text or settings change", async () => {
    const editor = editorOf(wrong);
    await editor.initialize(fullEditor);
    openQuietly(editor);
    const ask = (previousResultId?: string): Promise<DocumentDiagnosticReport> =>
      editor.client.request("textDocument/diagnostic", {
        textDocument: { uri: editor.uri },
        previousResultId,
      });
    const first = await ask();
    expect(first).toMatchObject({ kind: "full", items: [{ code: "finger-outside-range" }] });
    expect(await ask(first.resultId)).toMatchObject({ kind: "unchanged" });
    editor.replace(">5</fingering>", ">4</fingering>");
    expect(await ask(first.resultId)).toMatchObject({ kind: "full", items: [] });
    const pushed = editor.client.received.filter(
      ({ method }) => method === "textDocument/publishDiagnostics",
    );
    expect(pushed).toEqual([]);
  });

  test("in a folder: all scores on the disk, open ones as they stand, and nothing of those that go", async () => {
    const folder = temporaryFolder();
    mkdirSync(join(folder, "songs"));
    const paths = ["a.musicxml", "songs/b.xml", "c.xml"].map((name) => join(folder, name));
    writeFileSync(paths[0]!, wrong);
    writeFileSync(paths[1]!, wrong);
    writeFileSync(paths[2]!, "<project/>");
    const uris = paths.map((path) => pathToFileURL(path).href);
    const editor = editorOf(wrong.replace(">5<", ">4<"), uris[0]);
    await editor.initialize(fullEditor);
    editor.client.notify("workspace/didChangeWorkspaceFolders", {
      event: { added: [{ uri: pathToFileURL(folder).href, name: "scores" }], removed: [] },
    });
    openQuietly(editor);
    const ask = async (before?: WorkspaceDiagnosticReport) => {
      const previousResultIds = (before?.items ?? []).map(({ uri, resultId }) => ({
        uri,
        value: resultId ?? "",
      }));
      return editor.client.request<WorkspaceDiagnosticReport>("workspace/diagnostic", { previousResultIds });
    };
    const told = ({ items }: WorkspaceDiagnosticReport): unknown[] =>
      items.map((item) => [
        item.uri,
        item.kind === "full"
          ? item.items.filter(({ code }) => code === "finger-outside-range").length
          : item.kind,
      ]);
    const first = await ask();
    expect(told(first)).toEqual([
      [uris[0], 0],
      [uris[1], 1],
    ]);
    expect(told(await ask(first))).toEqual([
      [uris[0], "unchanged"],
      [uris[1], "unchanged"],
    ]);
    // A notation editor saves beside the file and renames over it.
    const refreshed = new Promise((resolve) => {
      client!.answers.set("workspace/diagnostic/refresh", () => {
        resolve(true);
        return null;
      });
    });
    writeFileSync(`${paths[1]}.new`, wrong.replace(">5<", ">3<"));
    renameSync(`${paths[1]}.new`, paths[1]!);
    client!.notify("workspace/didChangeWatchedFiles", { changes: [{ uri: uris[1], type: 2 }] });
    expect(await refreshed).toBe(true);
    const second = await ask(first);
    expect(told(second)).toEqual([
      [uris[0], "unchanged"],
      [uris[1], 0],
    ]);
    rmSync(paths[1]!);
    expect(told(await ask(second))).toEqual([
      [uris[0], "unchanged"],
      [uris[1], 0],
    ]);
  });
});

describe("a folder of scores", () => {
  const fingered = tinyScore("C4:5 D4:4 E4:3").text;

  /** The smallest container that MusicXML 4.0 allows: META-INF/container.xml and the score. */
  function container(score: string): Uint8Array {
    const entry = '<container><rootfiles><rootfile full-path="score.musicxml"/></rootfiles></container>';
    return zipSync({ "META-INF/container.xml": strToU8(entry), "score.musicxml": strToU8(score) });
  }

  test("compressed scores are among those in which something is found, each finding with its bar", async () => {
    const folder = temporaryFolder();
    const path = join(folder, "pressed.mxl");
    writeFileSync(path, container(fingered));
    writeFileSync(join(folder, "damaged.mxl"), "PK\u0003\u0004 and no more");
    const editor = editorOf(fingered);
    await editor.initialize(fullEditor);
    editor.client.notify("workspace/didChangeWorkspaceFolders", {
      event: { added: [{ uri: pathToFileURL(folder).href, name: "scores" }], removed: [] },
    });
    const { items } = await client!.request<WorkspaceDiagnosticReport>("workspace/diagnostic", {
      previousResultIds: [],
    });
    const itemsOf = (name: string): readonly Diagnostic[] => {
      const report = items.find(({ uri }) => uri === pathToFileURL(join(folder, name)).href);
      return report?.kind === "full" ? report.items : [];
    };
    const range = { start: { line: 0, character: 0 }, end: { line: 0, character: 0 } };
    expect(itemsOf("pressed.mxl")).toContainEqual(
      expect.objectContaining({
        code: "finger-outside-range",
        range,
        message: expect.stringMatching(/^bar 1: C4 /),
      }),
    );
    expect(itemsOf("damaged.mxl")).toMatchObject([{ severity: 1, range }]);
  });

  test("parts, bars and rehearsal marks of all scores are found by name, open ones as they stand", async () => {
    const folder = temporaryFolder();
    const open = pathToFileURL(join(folder, "open.musicxml")).href;
    const named = (name: string): string =>
      fingered.replace(/<part-name>[^<]*<\/part-name>/, `<part-name>${name}</part-name>`);
    writeFileSync(join(folder, "open.musicxml"), named("Not as it stands"));
    writeFileSync(join(folder, "closed.musicxml"), named("Harp of the closed"));
    writeFileSync(join(folder, "pressed.mxl"), container(named("Harp of the pressed")));
    const editor = editorOf(named("Harp of the open"), open);
    await editor.initialize(fullEditor);
    editor.client.notify("workspace/didChangeWorkspaceFolders", {
      event: { added: [{ uri: pathToFileURL(folder).href, name: "scores" }], removed: [] },
    });
    openQuietly(editor);
    const names = async (query: string): Promise<string[]> => {
      const found = await client!.request<SymbolInformation[]>("workspace/symbol", { query });
      return found.map(({ name, location }) => `${name} ${location.uri.split("/").at(-1)}`).sort();
    };
    const all = [
      "Harp of the closed closed.musicxml",
      "Harp of the open open.musicxml",
      "Harp of the pressed pressed.mxl",
    ];
    expect(await names("")).toEqual(all);
    expect(await names("of THE p")).toEqual(all.slice(2));
    expect(await names("bar 1")).toEqual([
      "bar 1 closed.musicxml",
      "bar 1 open.musicxml",
      "bar 1 pressed.mxl",
    ]);
    rmSync(join(folder, "closed.musicxml"));
    expect(await names("")).toEqual(all.slice(1));
  });

  test("a file that is deleted while it is open loses its findings until it is there again or is changed", async () => {
    const editor = editorOf(fingered, "file:///scores/deleted.musicxml");
    await editor.initialize();
    const found = (await editor.open()).diagnostics;
    expect(found.length).toBeGreaterThan(0);
    const tell = async (...types: number[]): Promise<readonly Diagnostic[]> => {
      const next = editor.diagnostics();
      const changes = types.map((type) => ({ uri: editor.uri, type }));
      client!.notify("workspace/didChangeWatchedFiles", { changes });
      return (await next).diagnostics;
    };
    // FileChangeType: 1 created, 2 changed, 3 deleted. Source: LSP 3.17.
    expect(await tell(3)).toEqual([]);
    expect(await tell(1)).toEqual(found);
    expect(await tell(3, 1)).toEqual(found);
    expect(await tell(3)).toEqual([]);
    const next = editor.diagnostics();
    editor.change({ start: 0, end: 0, text: "" });
    expect((await next).diagnostics).toEqual(found);
  });
});

describe("many repairs at once", () => {
  const many = tinyScore("C4:5 D4:4 E4:7 F4:1 G4:6").text;

  test("all of a rule in the file, and all that are safe, are offered and made", async () => {
    const editor = editorOf(many);
    await editor.initialize();
    const { diagnostics } = await editor.open();
    const wrong = diagnostics.filter(({ code }) => code === "finger-outside-range");
    expect(wrong).toHaveLength(3);
    const offered = await editor.codeActions(wrong[0]!.range, wrong.slice(0, 1));
    const all = offered.find(({ title }) => title.endsWith(": all 3 in this file"))!;
    const { edit } = await editor.resolve(all as CodeAction);
    expect(editor.applyIfFresh(edit!)).toBe(true);
    expect(withoutFingering(editor.text)).toBe(withoutFingering(many));
    const after = await editor.diagnostics();
    expect(after.diagnostics.filter(({ code }) => code === "finger-outside-range")).toEqual([]);
    const choice = "safe";
    const request = { uri: editor.uri, version: editor.version, choice };
    const done = await editor.execute<{ edits: number }>(fixAllCommand, request);
    expect(done.edits).toBeGreaterThanOrEqual(0);
    expect(await editor.execute(fixAllCommand, { ...request, version: editor.version })).toEqual({
      applied: false,
      edits: 0,
    });
  });

  test("source.fixAll leaves no safe repair, and an older version's is refused", async () => {
    const editor = editorOf(demoText("evening-tide"));
    await editor.initialize();
    await editor.open();
    const range = { start: { line: 0, character: 0 }, end: { line: 0, character: 0 } };
    const ask = (): Promise<CodeAction[]> =>
      editor.client.request("textDocument/codeAction", {
        textDocument: { uri: editor.uri },
        range,
        context: { diagnostics: [], only: ["source.fixAll"] },
      });
    const [action] = await ask();
    const safe = analyse(editor.text).findings.some(({ fixes }) =>
      fixes.some((fix) => fix.safety === "safe"),
    );
    expect(action !== undefined).toBe(safe);
    if (!action) return;
    expect(action.kind).toBe("source.fixAll");
    const { edit } = await editor.resolve(action);
    expect(editor.applyIfFresh(edit!)).toBe(true);
    await expect(editor.resolve(action)).rejects.toMatchObject({ code: contentModified });
    expect(await ask()).toEqual([]);
  });
});

describe("long work", () => {
  test("is shown and can be called off, and then changes nothing", async () => {
    const editor = editorOf(demoText("millrace-reel"));
    await editor.initialize(fullEditor);
    openQuietly(editor);
    const before = editor.text;
    const begun = client!.next(
      ({ method, params }) =>
        method === "$/progress" && (params as { value: { kind: string } }).value.kind === "begin",
      "progress",
    );
    const ended = client!.next(
      ({ method, params }) =>
        method === "$/progress" && (params as { value: { kind: string } }).value.kind === "end",
      "the end of progress",
    );
    const position = { line: 0, character: 0 };
    const request = { uri: editor.uri, scope: "score", mode: "keep", version: 1, position };
    const refused = editor.execute(fingerCommand, request).catch((error: unknown) => error);
    const { token, value } = (await begun).params as { token: string; value: object };
    expect(value).toMatchObject({ title: "Finger the whole score", cancellable: true });
    client!.notify("window/workDoneProgress/cancel", { token });
    await ended;
    const answer = await refused;
    expect(answer).toBeInstanceOf(LspError);
    expect(answer).toMatchObject({ code: requestCancelled });
    expect(editor.text).toBe(before);
    expect(await client!.stop()).toBe(0);
  });

  test("keeps nothing else waiting, and ends at once when it is called off", async () => {
    const editor = editorOf(largeScore(600_000));
    await editor.initialize(fullEditor);
    openQuietly(editor);
    const position = { line: 0, character: 0 };
    const request = { uri: editor.uri, scope: "score", mode: "fresh", version: 1, position };
    const searching = client!.next(
      ({ params }) =>
        (params as { value?: { message?: string } }).value?.message === "looking for the best fingering",
      "the search",
    );
    let isDone = false;
    const refused = editor
      .execute(fingerCommand, request)
      .catch((error: unknown) => error)
      .finally(() => {
        isDone = true;
      });
    const { token } = (await searching).params as { token: string };
    const folds = await client!.request("textDocument/foldingRange", { textDocument: { uri: editor.uri } });
    expect(isDone).toBe(false);
    expect((folds as unknown[]).length).toBeGreaterThan(0);
    client!.notify("window/workDoneProgress/cancel", { token });
    expect(await refused).toMatchObject({ code: requestCancelled });
    const after = await client!.request("textDocument/foldingRange", { textDocument: { uri: editor.uri } });
    expect(after).toEqual(folds);
  });
});

describe("nothing is damaged", () => {
  /** Findings of a document with what can be done about them, for as long as there are some. */
  async function applyNext(editor: ScriptedEditor, diagnostics: readonly Diagnostic[]): Promise<boolean> {
    for (const diagnostic of diagnostics) {
      const offered = await editor.codeActions(diagnostic.range, [diagnostic]);
      const fix = offered.find(({ kind, title }) => kind === "quickfix" && !/ in this file$/.test(title));
      if (!fix) continue;
      const { edit } = await editor.resolve(fix as CodeAction);
      return editor.applyIfFresh(edit!);
    }
    return false;
  }

  test("by five repairs one after the other on one line", async () => {
    const { text } = tinyScore("C4+E4+G4 A4 F4:4 G4:2");
    const lines = text.replace(/>4<\/fingering>/, ">4</fingering>");
    const fingers = [5, 6, 7, 8, 9].map((wrong) => `<fingering>${wrong}</fingering>`).join("");
    const oneLine = lines.replace(/<fingering[^>]*>4<\/fingering>/, fingers);
    const editor = editorOf(oneLine);
    await editor.initialize();
    let { diagnostics } = await editor.open();
    const onLine = (list: readonly Diagnostic[]): Diagnostic[] =>
      list.filter(({ code }) => code === "finger-outside-range");
    let made = 0;
    for (; made < 5 && onLine(diagnostics).length > 0; made += 1) {
      const next = editor.diagnostics();
      expect(await applyNext(editor, onLine(diagnostics))).toBe(true);
      ({ diagnostics } = await next);
      expect(withoutFingering(editor.text)).toBe(withoutFingering(oneLine));
    }
    expect(made).toBe(5);
    expect(onLine(diagnostics)).toEqual([]);
  });

  test("when the file is replaced on the disk between finding and repair", async () => {
    const path = join(temporaryFolder(), "a.musicxml");
    const old = tinyScore("C4:5 D4:4 E4:3").text;
    writeFileSync(path, old);
    const editor = editorOf(old, pathToFileURL(path).href);
    await editor.initialize();
    const { diagnostics } = await editor.open();
    const [finding] = diagnostics.filter(({ code }) => code === "finger-outside-range");
    const [fix] = await editor.codeActions(finding!.range, [finding!]);
    const saved = tinyScore("G4/2 C4:5 D4:4 E4:3").text;
    writeFileSync(`${path}.new`, saved);
    renameSync(`${path}.new`, path);
    client!.notify("workspace/didChangeWatchedFiles", { changes: [{ uri: editor.uri, type: 2 }] });
    // The editor loads what is on the disk now.
    const again = editor.diagnostics();
    editor.changeAll(saved);
    await expect(editor.resolve(fix as CodeAction)).rejects.toMatchObject({ code: contentModified });
    expect(await applyNext(editor, (await again).diagnostics)).toBe(true);
    expect(withoutFingering(editor.text)).toBe(withoutFingering(saved));
  });

  test("when the XML is broken half of the time", async () => {
    const editor = editorOf(demoText("evening-tide"));
    await editor.initialize();
    await editor.open();
    const whole = editor.text;
    for (const broken of ["<note>", "</measure>", "<pitch", "&", "</score-partwise>"]) {
      const at = editor.text.indexOf("<note>", 20_000);
      const wrong = editor.diagnostics();
      editor.change({ start: at, end: at, text: broken });
      const { diagnostics } = await wrong;
      expect(diagnostics.map(({ code }) => code)).toContain("not-readable");
      const range = diagnostics[0]!.range;
      for (const action of await editor.codeActions(range)) expect(action.kind).not.toBe("quickfix");
      const position = editor.placeOf("<pitch>");
      const request = { uri: editor.uri, scope: "bar", mode: "keep", version: editor.version, position };
      expect(await editor.execute(fingerCommand, request).catch((error: unknown) => error)).toSatisfy(
        (answer: unknown) => answer instanceof LspError || (answer as { edits: number }).edits === 0,
      );
      const right = editor.diagnostics();
      editor.change({ start: at, end: at + broken.length, text: "" });
      expect((await right).diagnostics.map(({ code }) => code)).not.toContain("not-readable");
      expect(editor.text).toBe(whole);
    }
  });
});
