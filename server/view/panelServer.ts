import { randomBytes, timingSafeEqual } from "node:crypto";
import { readFile } from "node:fs/promises";
import {
  createServer,
  type IncomingMessage,
  type Server,
  type ServerResponse,
  STATUS_CODES,
} from "node:http";
import type { AddressInfo, Socket } from "node:net";
import { join } from "node:path";
import type { Duplex } from "node:stream";
import type { PanelNews } from "../../shared/protocol/panel.ts";
import { readJson } from "../../shared/service/jsonSchema.ts";
import { InputError } from "../../shared/text/problem.ts";
import { type Answering, type Call, type Endpoint, endpoints } from "./endpoints.ts";
import { type Limits, usualLimits } from "./limits.ts";
import { openApiText } from "./openApi.ts";
import { pageFiles, pageHtml, securityPolicy } from "./page.ts";
import { Refusal } from "./refusal.ts";
import { Room } from "./requestBody.ts";
import type { ScoreWork } from "./scoreWork.ts";
import type { ViewedScores } from "./viewedScores.ts";

/** A page being served, and endpoints for programs. */
export interface PanelServer {
  /** What to open in a browser; whoever does not know it gets nothing. */
  readonly address: string;
  close(): Promise<void>;
}

export interface ServeOptions {
  /** The folder of the built page. */
  readonly pageFolder: string;
  /** Answers programs about scores that they send along. */
  readonly work: ScoreWork;
  /** Is told of faults of the server's own. */
  readonly log: (message: string) => void;
  readonly limits?: Partial<Limits>;
}

/** A page that lags behind so far in reading its news is not there any more, in bytes. */
const mostUnreadNews = 1_000_000;

/** How long a refused sender may go on sending, so that it reads why, in milliseconds. */
const partingMs = 500;

/**
 * Serves the panel for some scores, and the endpoints for programs, on the loopback address, on a port that is free. The
 * address holds a token. Refused: requests that name another host (a foreign page whose name was pointed here), that
 * come from another origin, that lack the token, or that are too long, too slow or too many.
 */
export async function servePanel(scores: ViewedScores, options: ServeOptions): Promise<PanelServer> {
  const limits = { ...usualLimits, ...options.limits };
  const token = randomBytes(24).toString("base64url");
  const room = new Room(limits);
  const listeners = new Set<ServerResponse>();
  const tell = (news: PanelNews): void => {
    for (const listener of listeners) {
      if (listener.writableLength > mostUnreadNews) listener.destroy();
      else listener.write(`data: ${JSON.stringify(news)}\n\n`);
    }
  };
  const answering: Answering = { scores, work: options.work, tell, description: openApiText() };
  const server = createServer({
    headersTimeout: limits.headersMs,
    requestTimeout: limits.requestMs,
    connectionsCheckingInterval: Math.min(1000, limits.headersMs / 4),
  });
  server.maxConnections = limits.connections;
  const onRequest = (request: IncomingMessage, response: ServerResponse): void => {
    answer(request, response).catch((error: unknown) => refuse(request, response, error));
  };
  server.on("request", onRequest);
  // Whoever asks first whether it may send its body is told no at once when it may not.
  server.on("checkContinue", onRequest);
  server.on("clientError", refuseBroken);
  await new Promise<void>((resolve, reject) => {
    server.once("error", reject);
    server.listen(0, "127.0.0.1", resolve);
  });
  const origin = `http://127.0.0.1:${(server.address() as AddressInfo).port}`;
  const unwatch = await scores.watch(tell);

  async function answer(request: IncomingMessage, response: ServerResponse): Promise<void> {
    refuseStrangers(request, origin);
    // Taken as it comes: a path that would have to be decoded or shortened first leads nowhere.
    const [path = "", query = ""] = (request.url ?? "").split("?", 2);
    const [, given = "", name] = /^\/([^/]*)\/(.*)$/s.exec(path) ?? [];
    if (name === undefined || !isSame(given, token))
      throw new Refusal(404, "Open the whole address that placewright view printed.");
    const here = endpoints.filter((endpoint) => endpoint.path === name);
    const endpoint = here.find(({ method }) => method === request.method);
    if (endpoint) return answerAt(endpoint, query, request, response);
    const methods = here.map(({ method }) => method);
    const isPage = name === "" || Object.hasOwn(pageFiles, name);
    if (methods.length === 0 && !isPage) throw new Refusal(404, "There is nothing of that name here.");
    if (isPage && request.method === "GET") return page(name, response);
    const allow = (isPage ? ["GET"] : methods).join(", ");
    throw new Refusal(405, `This address takes ${allow} only.`, { allow });
  }

  async function answerAt(
    endpoint: Endpoint,
    query: string,
    request: IncomingMessage,
    response: ServerResponse,
  ): Promise<void> {
    const choices = readChoices(endpoint, query);
    const gone = new AbortController();
    const closed = new Promise<void>((resolve) => response.once("close", resolve));
    void closed.then(() => gone.abort());
    const accepted = request.headers.accept ?? "";
    const types = Object.keys(endpoint.answers);
    const type = types.find((each) => accepted.includes(each)) ?? types[0]!;
    const call = { choices, type, signal: gone.signal };
    if (!endpoint.body) return give(endpoint, { ...call, body: undefined }, response);
    refuseOtherTypes(endpoint.body.types, request.headers["content-type"]);
    const { bytes, release } = await room.read(request, response, limits[endpoint.body.most]);
    try {
      const { schema } = endpoint.body;
      await give(endpoint, { ...call, body: schema ? readQuestion(bytes, schema) : bytes }, response);
    } finally {
      // An answer that is not read takes its room as well.
      void closed.then(release);
    }
  }

  async function give(endpoint: Endpoint, call: Call, response: ServerResponse): Promise<void> {
    try {
      const found = await endpoint.answer(call, answering);
      if (found === "follow") follow(response);
      else send(response, 200, found.type, found.content);
    } catch (error) {
      if (error instanceof InputError && endpoint.refused)
        throw new Refusal(endpoint.refused.status, error.message);
      throw error;
    }
  }

  function follow(response: ServerResponse): void {
    response.writeHead(200, headers("text/event-stream"));
    response.write(": listening\n\n");
    listeners.add(response);
    response.on("close", () => listeners.delete(response));
  }

  async function page(name: string, response: ServerResponse): Promise<void> {
    if (name !== "")
      return send(response, 200, pageFiles[name]!, await readFile(join(options.pageFolder, name)));
    const nonce = randomBytes(16).toString("base64");
    send(response, 200, "text/html", pageHtml(nonce), { "content-security-policy": securityPolicy(nonce) });
  }

  function send(
    response: ServerResponse,
    status: number,
    type: string,
    content: string | Uint8Array,
    more: Readonly<Record<string, string>> = {},
  ): void {
    response.setTimeout(limits.unreadMs, () => response.destroy());
    response.writeHead(status, {
      ...headers(type),
      ...more,
      "content-length": Buffer.byteLength(content),
    });
    response.end(content);
  }

  function refuse(request: IncomingMessage, response: ServerResponse, error: unknown): void {
    // Nobody waits for an answer to a request that broke off.
    if (request.destroyed && !request.complete) return;
    const refusal = error instanceof Refusal ? error : undefined;
    if (!refusal) options.log(error instanceof Error ? (error.stack ?? error.message) : String(error));
    if (response.headersSent) {
      response.destroy();
      return;
    }
    const status = refusal?.status ?? 500;
    const content = JSON.stringify({
      error: refusal?.message ?? "The server made a mistake; it says more where it was started.",
    });
    if (request.complete) send(response, status, "application/json", content, refusal?.headers);
    else part(request, response, status, content, refusal?.headers);
  }

  /** Refuses what is still being sent: says why, reads on for a moment, for many read only when they have sent, and closes. */
  function part(
    request: IncomingMessage,
    response: ServerResponse,
    status: number,
    content: string,
    more: Readonly<Record<string, string>> = {},
  ): void {
    response.writeHead(status, {
      ...headers("application/json"),
      ...more,
      "content-length": Buffer.byteLength(content),
      connection: "close",
    });
    response.write(content);
    const timer = setTimeout(() => request.destroy(), partingMs);
    response.once("close", () => clearTimeout(timer));
    request.once("end", () => response.end());
    request.resume();
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

/** Refuses what never became a whole request: it was sent too slowly, or is no HTTP. */
function refuseBroken(error: NodeJS.ErrnoException, socket: Duplex): void {
  // Where an answer is on its way already, nothing may be put between.
  const { bytesWritten = 0 } = socket as Partial<Socket>;
  if (!socket.writable || bytesWritten > 0) {
    socket.destroy();
    return;
  }
  const [status, why] = brokenWords[error.code ?? ""] ?? [400, "This is no request of HTTP."];
  const content = JSON.stringify({ error: why });
  const lines = Object.entries({
    ...headers("application/json"),
    "content-length": String(Buffer.byteLength(content)),
    connection: "close",
  }).map(([name, value]) => `${name}: ${value}\r\n`);
  socket.end(`HTTP/1.1 ${status} ${STATUS_CODES[status]}\r\n${lines.join("")}\r\n${content}`, () =>
    socket.destroy(),
  );
}

/** By the codes of Node's errors. */
const brokenWords: Readonly<Record<string, readonly [status: number, why: string]>> = {
  ERR_HTTP_REQUEST_TIMEOUT: [408, "The request was sent too slowly."],
  HPE_HEADER_OVERFLOW: [431, "The head of the request is too long."],
};

/**
 * Browsers send where a request comes from and which host it is for; neither can be made up by a page.
 * @throws Refusal for another host or origin.
 */
function refuseStrangers({ headers: { host, origin: from } }: IncomingMessage, origin: string): void {
  if (host !== new URL(origin).host) throw new Refusal(403, "This server answers to its own address only.");
  if (from !== undefined && from !== origin)
    throw new Refusal(403, "This server answers its own page, and programs, only.");
}

/** Takes as long wherever the two differ. */
function isSame(given: string, token: string): boolean {
  const [one, other] = [Buffer.from(given), Buffer.from(token)];
  return one.length === other.length && timingSafeEqual(one, other);
}

/** @throws Refusal when a body is of none of these types. */
function refuseOtherTypes(types: readonly string[], contentType = ""): void {
  const [type = ""] = contentType.split(";");
  if (types.includes(type.trim().toLowerCase())) return;
  throw new Refusal(415, `The body must be of type ${types.join(" or ")}: say so in Content-Type.`);
}

/** @throws Refusal when something follows `?` that the endpoint does not know. */
function readChoices({ choices = {} }: Endpoint, query: string): Readonly<Record<string, string>> {
  const given = [...new URLSearchParams(query)];
  const text = `{${given.map((each) => each.map((word) => JSON.stringify(word)).join(":")).join(",")}}`;
  const { value, problems } = readJson(text, { type: "object", properties: choices });
  if (problems[0]) throw new Refusal(400, problems[0].message);
  return value as Readonly<Record<string, string>>;
}

/** @throws Refusal when it is no JSON, or has not the shape. */
function readQuestion(bytes: Buffer, schema: NonNullable<NonNullable<Endpoint["body"]>["schema"]>): unknown {
  const { value, problems } = readJson(bytes.toString("utf8"), schema);
  if (problems[0]) throw new Refusal(400, problems[0].message);
  return value;
}

function headers(type: string): Record<string, string> {
  return {
    "content-type": /^text\/|json$|javascript$/.test(type) ? `${type}; charset=utf-8` : type,
    "cache-control": "no-store",
    "referrer-policy": "no-referrer",
    "x-content-type-options": "nosniff",
    "cross-origin-resource-policy": "same-origin",
  };
}

function closed(server: Server): Promise<void> {
  return new Promise((resolve, reject) => {
    server.close((error) => (error ? reject(error) : resolve()));
    server.closeAllConnections();
  });
}
