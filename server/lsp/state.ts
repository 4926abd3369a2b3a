import {
  ErrorCodes,
  LSPErrorCodes,
  ResponseError,
  type TextDocumentContentChangeEvent,
  type TextDocumentItem,
  type WorkspaceFoldersChangeEvent,
} from "vscode-languageserver/node";
import { TextDocument } from "vscode-languageserver-textdocument";
import type { Solution } from "../../shared/fingering/model.ts";
import { isScore, rootName } from "../../shared/musicxml/rootName.ts";
import type { HouseFinding } from "../../shared/rules/house.ts";
import { type Analysis, analyse, type Settings } from "../../shared/service/analyse.ts";
import { AnalysisMemory } from "../../shared/service/analysisMemory.ts";
import { knowProposals } from "../../shared/service/proposal.ts";
import type { AcceptedPlace, FoundSettings, ReadSettingsFile } from "../files/settingsFiles.ts";
import { AcceptedDocuments } from "./acceptedDocuments.ts";
import { AnalysedDocuments } from "./analysedDocuments.ts";
import { collectGarbage } from "./collectGarbage.ts";
import { Converter } from "./convert.ts";
import type { DocumentHouse } from "./documentHouse.ts";
import { DocumentSettings, noSettings } from "./documentSettings.ts";
import type { EditThread } from "./editThread.ts";
import { type ClientFeatures, clientFeatures } from "./features.ts";
import type { ReadingThread } from "./readingThread.ts";
import { WorkspaceScores } from "./workspaceScores.ts";

/** Texts of so many characters are worked on beside the message loop. */
export const longText = 200_000;

/** What was made of one version of a text. */
interface Reading {
  readonly version: number;
  readonly isMusicXml: boolean;
  readonly settings: Settings;
  readonly settingsFiles: readonly ReadSettingsFile[];
  readonly accepted: AcceptedPlace | undefined;
  readonly plugins: readonly string[];
  /** Made when first asked for. */
  analysis: Analysis | undefined;
  /** What is proposed for the hands, once it was asked for. */
  proposals: readonly Solution[] | undefined;
}

/** A document that the editor has open: its text as of the last change, and what was found in it. */
export class OpenDocument {
  readonly uri: string;
  readonly convert: Converter;
  readonly #document: TextDocument;
  /** A file that says by its name or its language that it is MusicXML is told when it is not. */
  readonly #claimsMusicXml: boolean;
  #wasScore = false;
  readonly #settingsFor: (uri: string) => FoundSettings;
  #analysed: Reading | undefined;
  #memory: AnalysisMemory | undefined;
  #readings = 0;
  #isGone = false;
  readonly #onAnalysis: (document: OpenDocument) => void;

  /**
   * @param settingsFor asked each time that the text is read anew; no settings without it.
   * @param onAnalysis  told each time that an analysis is asked for.
   */
  constructor(
    item: TextDocumentItem,
    features: ClientFeatures,
    settingsFor: (uri: string) => FoundSettings = () => noSettings,
    onAnalysis: (document: OpenDocument) => void = () => {},
  ) {
    this.#settingsFor = settingsFor;
    this.#onAnalysis = onAnalysis;
    this.uri = item.uri;
    this.#document = TextDocument.create(item.uri, item.languageId, item.version, item.text);
    this.#claimsMusicXml = item.languageId === "musicxml" || /\.musicxml$/i.test(item.uri);
    this.convert = new Converter(this.#document, features.positionEncoding);
  }

  get version(): number {
    return this.#document.version;
  }

  get text(): string {
    return this.#document.getText();
  }

  /** The reading of the present text, made when first asked for; undefined when it is no MusicXML. */
  get analysis(): Analysis | undefined {
    const reading = this.#reading();
    if (!reading.isMusicXml) return undefined;
    this.#memory ??= new AnalysisMemory();
    if (!reading.analysis) {
      reading.analysis = analyse(this.text, reading.settings, this.#memory);
      if (reading.proposals) knowProposals(reading.analysis, reading.proposals);
    }
    this.#onAnalysis(this);
    return reading.analysis;
  }

  /** Whether what is proposed for the present text is known. */
  get isProposed(): boolean {
    return this.#reading().proposals !== undefined;
  }

  /** What another reading of the present text proposes. */
  setProposals(solutions: readonly Solution[]): void {
    const reading = this.#reading();
    reading.proposals = solutions;
    if (reading.analysis) knowProposals(reading.analysis, solutions);
  }

  /** Lets go of the analysis, which holds much memory; it is made again when it is asked for. */
  rest(): void {
    this.#memory = undefined;
    if (this.#analysed) {
      this.#analysed.analysis = undefined;
      this.#analysed.proposals = undefined;
    }
  }

  /** Whether it is MusicXML, or should be. */
  get isMusicXml(): boolean {
    return this.#reading().isMusicXml;
  }

  /** The settings that count for the reading. */
  get settings(): Settings {
    return this.#reading().settings;
  }

  /** The settings files that count for the reading. */
  get settingsFiles(): readonly ReadSettingsFile[] {
    return this.#reading().settingsFiles;
  }

  /** The modules with house rules that count for it. */
  get plugins(): readonly string[] {
    return this.#reading().plugins;
  }

  /** House rules have found this in the present text. What was found before without it counts no more. */
  takeHouse(house: readonly HouseFinding[]): void {
    const reading = this.#reading();
    this.#analysed = { ...reading, settings: { ...reading.settings, house }, analysis: undefined };
    this.#readings += 1;
  }

  /** Where findings of it are accepted; undefined for a document that lies in no folder. */
  get accepted(): AcceptedPlace | undefined {
    return this.#reading().accepted;
  }

  /** How often something else than the text has changed what is found in it. */
  get readings(): number {
    return this.#readings;
  }

  /** Its file was deleted, and the editor has kept the text without changing it since: nothing is found in it. */
  get isGone(): boolean {
    return this.#isGone;
  }

  /** The file was deleted, or is there again. */
  setGone(isGone: boolean): void {
    if (isGone !== this.#isGone) this.#readings += 1;
    this.#isGone = isGone;
  }

  /** Settings have changed: the text is to be read again. */
  forgetReading(): void {
    this.#analysed = undefined;
    this.#readings += 1;
  }

  #reading(): Reading {
    if (this.#analysed?.version !== this.version) {
      const isMusicXml = this.#looksLikeMusicXml();
      const { settings, files, accepted, plugins } = isMusicXml ? this.#settingsFor(this.uri) : noSettings;
      const { version } = this;
      const read = { version, isMusicXml, settings, settingsFiles: files, accepted, plugins };
      this.#analysed = { ...read, analysis: undefined, proposals: undefined };
    }
    return this.#analysed;
  }

  /** A score stays one while its first lines are being typed at. */
  #looksLikeMusicXml(): boolean {
    const root = rootName(this.text);
    this.#wasScore = root === undefined ? this.#wasScore : isScore(root);
    return this.#wasScore || this.#claimsMusicXml;
  }

  /**
   * Applies the changes of one notification, each to the text that the one before left.
   * @throws ResponseError when one of them is no change; the text is then out of step with the editor's.
   */
  change(changes: readonly TextDocumentContentChangeEvent[], version: number): void {
    this.setGone(false);
    for (const change of changes) {
      if (typeof change?.text !== "string") {
        throw new ResponseError(ErrorCodes.InvalidParams, "textDocument/didChange: a change has no text.");
      }
      if ("range" in change && change.range) {
        const { start, end } = this.convert.span(change.range);
        const range = { start: this.#document.positionAt(start), end: this.#document.positionAt(end) };
        TextDocument.update(this.#document, [{ range, text: change.text }], version);
      } else {
        TextDocument.update(this.#document, [{ text: change.text }], version);
      }
    }
    TextDocument.update(this.#document, [], version);
  }
}

/** Everything that the server knows of the editor it speaks with. */
export class ServerState {
  features: ClientFeatures = clientFeatures({});
  /** The editor has a panel, and wants to be told what is news to it. */
  hasPanel = false;
  readonly #documents = new Map<string, OpenDocument>();
  readonly #analysed = new AnalysedDocuments(() => this.#rest());
  readonly acceptedDocuments = new AcceptedDocuments();
  readonly #settings = new DocumentSettings((path) => this.acceptedDocuments.textOf(path));
  /** The addresses of the folders that the editor works in. */
  folders: readonly string[] = [];
  readonly storedScores = new WorkspaceScores(
    (uri) => this.#settings.settingsFor(uri),
    (plugins, text, settings) => this.house.findings(plugins, text, settings),
  );
  /** Where edits that take long are found. */
  readonly editThread: EditThread;

  readonly #proposing: ReadingThread<readonly Solution[]>;
  readonly #asked = new WeakMap<
    OpenDocument,
    { readonly reading: string; readonly search: Promise<readonly Solution[] | undefined> }
  >();

  readonly house: DocumentHouse;

  constructor(editThread: EditThread, proposing: ReadingThread<readonly Solution[]>, house: DocumentHouse) {
    this.editThread = editThread;
    this.house = house;
    this.#proposing = proposing;
  }

  /** Sees to it that what is proposed for a document is known: a search beside the message loop, once for a text. */
  async propose(document: OpenDocument): Promise<void> {
    const { uri, version, readings, text, settings } = document;
    if (document.isProposed || !document.isMusicXml) return;
    // Questions about one text share one search.
    const reading = `${version} ${readings}`;
    const asked = this.#asked.get(document);
    const search = asked?.reading === reading ? asked.search : this.#proposing.read({ uri, text, settings });
    this.#asked.set(document, { reading, search });
    const solutions = await search;
    if (solutions && document.version === version && document.readings === readings)
      document.setProposals(solutions);
  }

  #rest(): void {
    this.storedScores.rest();
    collectGarbage();
  }

  /** The editor works in other folders now. */
  changeFolders({ added, removed }: WorkspaceFoldersChangeEvent): void {
    const gone = new Set(removed.map(({ uri }) => uri));
    this.folders = [...this.folders.filter((uri) => !gone.has(uri)), ...added.map(({ uri }) => uri)];
  }

  open(item: TextDocumentItem): OpenDocument {
    this.close(item.uri);
    this.#analysed.stir();
    const document = new OpenDocument(
      item,
      this.features,
      (uri) => this.#settings.settingsFor(uri),
      (analysed) => this.#analysed.touch(analysed),
    );
    this.#documents.set(item.uri, document);
    return document;
  }

  close(uri: string): void {
    const document = this.#documents.get(uri);
    if (document) this.#analysed.forget(document);
    this.#documents.delete(uri);
  }

  /** Where findings of a document are accepted, as it is now; undefined for one that lies in no folder. */
  acceptedPlace(uri: string): AcceptedPlace | undefined {
    return this.#settings.settingsFor(uri).accepted;
  }

  documents(): Iterable<OpenDocument> {
    return this.#documents.values();
  }

  document(uri: string): OpenDocument | undefined {
    this.#analysed.stir();
    return this.#documents.get(uri);
  }

  /**
   * A document of which something was asked for one version.
   * @param reading of the version, when it was about one of its findings; see `OpenDocument.readings`.
   * @throws ResponseError when it is not open or its text, or what is found in it, has changed since.
   */
  documentAt(uri: string, version: number, reading?: number): OpenDocument {
    const document = this.#documents.get(uri);
    if (!document) throw new ResponseError(LSPErrorCodes.RequestFailed, `${uri} is not open. Open it first.`);
    if (document.version !== version) {
      throw new ResponseError(
        LSPErrorCodes.ContentModified,
        `The text has changed since version ${version}; it is now version ${document.version}. Ask again.`,
      );
    }
    if (reading !== undefined && document.readings !== reading) {
      throw new ResponseError(
        LSPErrorCodes.ContentModified,
        "What is found in the text has changed with the settings around it. Ask again.",
      );
    }
    return document;
  }
}
