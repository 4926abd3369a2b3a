import { type IncomingHttpHeaders, request } from "node:http";

/** What came back. */
export interface Reply {
  readonly status: number;
  readonly headers: IncomingHttpHeaders;
  readonly bytes: Buffer;
}

export interface Asked {
  readonly method?: string;
  readonly headers?: Readonly<Record<string, string>>;
  readonly body?: string | Uint8Array;
}

/**
 * Sends a request to a server, with a path exactly as it is written here: what other clients make of it is not done.
 * @param address of the server, token and all.
 * @param path    after the token; from a slash on, the whole path.
 */
export function send(address: string, path: string, { method, headers, body }: Asked = {}): Promise<Reply> {
  const { hostname, port, pathname } = new URL(address);
  return new Promise((resolve, reject) => {
    const asked = request(
      {
        hostname,
        port,
        path: path.startsWith("/") ? path : pathname + path,
        method: method ?? (body === undefined ? "GET" : "POST"),
        headers,
        agent: false,
      },
      (response) => {
        const chunks: Buffer[] = [];
        response.on("data", (chunk: Buffer) => chunks.push(chunk));
        response.on("error", reject);
        response.on("end", () =>
          resolve({
            status: response.statusCode ?? 0,
            headers: response.headers,
            bytes: Buffer.concat(chunks),
          }),
        );
      },
    );
    asked.on("error", reject);
    asked.end(body);
  });
}

/** A reply's JSON. */
export function json(reply: Reply): unknown {
  return JSON.parse(reply.bytes.toString("utf8"));
}

/** The sentence of a refusal. */
export function why(reply: Reply): string {
  return String((json(reply) as { readonly error: unknown }).error);
}

/** A score's body. Source of the type: https://www.iana.org/assignments/media-types. */
export function score(body: string | Uint8Array, headers: Readonly<Record<string, string>> = {}): Asked {
  return { body, headers: { "content-type": "application/vnd.recordare.musicxml+xml", ...headers } };
}
