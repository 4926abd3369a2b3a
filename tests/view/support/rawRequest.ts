import { connect, type Socket } from "node:net";

/** A connection on which anything can be sent, however wrong, and what came back on it so far. */
export interface RawConnection {
  readonly socket: Socket;
  /** The status of the first answer; undefined before it came. */
  status(): number | undefined;
  received(): number;
  /** Whole once the other side has closed. */
  readonly closed: Promise<void>;
}

export function rawConnection(address: string): RawConnection {
  const { hostname, port } = new URL(address);
  const socket = connect(Number(port), hostname);
  let head = "";
  let received = 0;
  socket.on("data", (chunk: Buffer) => {
    received += chunk.length;
    if (head.length < 1000) head += chunk.toString("latin1");
  });
  // A connection that the server cuts off is what is sought.
  socket.on("error", () => undefined);
  return {
    socket,
    status: () => {
      const status = /^HTTP\/1\.1 (\d{3}) /.exec(head)?.[1];
      return status === undefined ? undefined : Number(status);
    },
    received: () => received,
    closed: new Promise((resolve) => socket.once("close", () => resolve())),
  };
}

/** The head of a request to post a score. */
export function scoreHead(address: string, path: string, lines: readonly string[]): string {
  const { host, pathname } = new URL(address);
  const head = [
    `POST ${pathname}${path} HTTP/1.1`,
    `Host: ${host}`,
    "Content-Type: application/xml",
    ...lines,
  ];
  return `${head.join("\r\n")}\r\n\r\n`;
}
