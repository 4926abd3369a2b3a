import { randomBytes } from "node:crypto";
import { readFile } from "node:fs/promises";
import { createServer, type IncomingMessage, type Server, type ServerResponse } from "node:http";
import type { AddressInfo } from "node:net";
import { join } from "node:path";
import type { PanelNews, PanelQuestions } from "../../shared/protocol/panel.ts";
import { panelNote } from "../../shared/service/panelNote.ts";
import { panelWays } from "../../shared/service/panelWays.ts";
import { InputError } from "../../shared/text/problem.ts";
import { pageFiles, pageHtml, securityPolicy } from "./page.ts";
import type { ViewedScores } from "./viewedScores.ts";

/** A page being served. */
export interface PanelServer {
  /** What to open in a browser; whoever does not know it gets nothing. */
  readonly address: string;
  close(): Promise<void>;
}

export interface ServeOptions {
  /** The folder of the built page. */
  readonly pageFolder: string;
  /** Is told of faults of the server's own. */
  readonly log: (message: string) => void;
}

/** The longest question that is read, in bytes. */
const longestQuestion = 100_000;

/**
 * Serves the panel for some scores on the loopback address, on a port that is free. The address holds a token. Refused:
 * requests that name another host (a foreign page whose name was pointed here), that come from another origin, or that
 * lack the token.
 */
export async function servePanel(scores: ViewedScores, options: ServeOptions): Promise<PanelServer> {
  const token = randomBytes(24).toString("base64url");
  const listeners = new Set<ServerResponse>();
  const tell = (news: PanelNews): void => {
    for (const listener of listeners) listener.write(`data: ${JSON.stringify(news)}\n\n`);
  };
  const server = createServer((request, response) => {
    answer(request, response).catch((error) => {
      options.log(error instanceof Error ? (error.stack ?? error.message) : String(error));
      if (!response.headersSent)
        refuse(response, 500, "The server made a mistake; it says more where it was started.");
    });
  });
  await new Promise<void>((resolve, reject) => {
    server.once("error", reject);
    server.listen(0, "127.0.0.1", resolve);
  });
  const origin = `http://127.0.0.1:${(server.address() as AddressInfo).port}`;
  const unwatch = await scores.watch(tell);

  async function answer(request: IncomingMessage, response: ServerResponse): Promise<void> {
    const refusal = whyRefused(request, origin);
    if (refusal) return refuse(response, 403, refusal);
    const path = new URL(request.url ?? "/", origin).pathname;
    const prefix = `/${token}/`;
    if (!path.startsWith(prefix))
      return refuse(response, 404, "Open the whole address that placewright view printed.");
    const name = path.slice(prefix.length);
    if (request.method === "GET") return get(name, request, response);
    const question = /^ask\/([a-z]+)$/.exec(name)?.[1];
    if (request.method === "POST" && question) return ask(question, request, response);
    return refuse(response, 405, "There is nothing of that kind here.");
  }

  async function get(name: string, request: IncomingMessage, response: ServerResponse): Promise<void> {
    if (name === "news") {
      response.writeHead(200, headers("text/event-stream; charset=utf-8"));
      response.write(": listening\n\n");
      listeners.add(response);
      request.on("close", () => listeners.delete(response));
      return;
    }
    if (name === "") {
      const nonce = randomBytes(16).toString("base64");
      response.writeHead(200, {
        ...headers("text/html; charset=utf-8"),
        "content-security-policy": securityPolicy(nonce),
      });
      response.end(pageHtml(nonce));
      return;
    }
    const type = Object.hasOwn(pageFiles, name) ? pageFiles[name] : undefined;
    if (type === undefined) return refuse(response, 404, "There is no such file here.");
    response.writeHead(200, headers(type));
    response.end(await readFile(join(options.pageFolder, name)));
  }

  async function ask(question: string, request: IncomingMessage, response: ServerResponse): Promise<void> {
    if (!/^application\/json\b/.test(request.headers["content-type"] ?? ""))
      return refuse(response, 415, "Questions are asked in JSON.");
    try {
      const asks = JSON.parse(await body(request)) as Record<string, unknown>;
      const gets = await answerTo(scores, question, asks);
      response.writeHead(200, headers("application/json; charset=utf-8"));
      response.end(JSON.stringify(gets));
      if (question === "change") tell({ kind: "changed", uri: String(asks.uri) });
    } catch (error) {
      if (error instanceof InputError) return refuse(response, 409, error.message);
      if (error instanceof SyntaxError) return refuse(response, 400, "The question is not JSON.");
      throw error;
    }
  }

  return {
    address: `${origin}/${token}/`,
    close: () => {
      unwatch();
      for (const listener of listeners) listener.end();
      return closed(server);
    },
  };
}

/** Browsers send where a request comes from and which host it is for; neither can be made up by a page. */
function whyRefused(
  { headers: { host, origin: from } }: IncomingMessage,
  origin: string,
): string | undefined {
  if (host !== new URL(origin).host) return "This server answers to its own address only.";
  if (from !== undefined && from !== origin) return "This server answers its own page only.";
  return undefined;
}

async function answerTo(
  scores: ViewedScores,
  question: string,
  asks: Record<string, unknown>,
): Promise<PanelQuestions[keyof PanelQuestions]["gets"]> {
  if (question === "scores") return scores.list();
  if (question === "reveal") return null;
  const { uri, version, note } = asks;
  if (typeof uri !== "string") throw new InputError('The question needs "uri", a score.');
  if (question === "read") return scores.read(uri);
  if (typeof version !== "number") throw new InputError('The question needs "version", a number.');
  if (question === "change") {
    const { change } = asks;
    if (typeof change !== "object" || change === null) throw new InputError('The question needs "change".');
    return scores.change(uri, version, change as PanelQuestions["change"]["asks"]["change"]);
  }
  if (typeof note !== "string") throw new InputError('The question needs "note", an id.');
  if (question === "note") return scores.ask(uri, version, (analysis) => panelNote(analysis, note));
  if (question === "ways") return scores.ask(uri, version, (analysis) => panelWays(analysis, note));
  throw new InputError(`There is no question ${question}.`);
}

async function body(request: IncomingMessage): Promise<string> {
  const chunks: Buffer[] = [];
  let size = 0;
  for await (const chunk of request as AsyncIterable<Buffer>) {
    size += chunk.length;
    if (size > longestQuestion) throw new InputError("The question is too long.");
    chunks.push(chunk);
  }
  return Buffer.concat(chunks).toString("utf8");
}

function headers(type: string): Record<string, string> {
  return {
    "content-type": type,
    "cache-control": "no-store",
    "referrer-policy": "no-referrer",
    "x-content-type-options": "nosniff",
    "cross-origin-resource-policy": "same-origin",
  };
}

function refuse(response: ServerResponse, status: number, why: string): void {
  response.writeHead(status, headers("text/plain; charset=utf-8"));
  response.end(why);
}

function closed(server: Server): Promise<void> {
  return new Promise((resolve, reject) => {
    server.close((error) => (error ? reject(error) : resolve()));
    server.closeAllConnections();
  });
}
