/** A whole server of its own for a test file: own database, own port, stopped by `close`. */
import { once } from "node:events";
import { createServer } from "node:http";
import type { AddressInfo } from "node:net";
import path from "node:path";
import { fileURLToPath } from "node:url";
import { createApp, refuseUnreadable } from "../../server/api/http/server.ts";
import type { Nightly } from "../../server/io/nightlyBackups.ts";
import type { Store } from "../../server/store/client.ts";
import { testStore } from "./store.ts";

export interface TestServer {
  /** Folder of the photographs, which goes with the server. */
  photographs: string;
  /** Such as http://127.0.0.1:40123, with no slash at the end. */
  address: string;
  store: Store;
  /** Sends a GraphQL document, with a cookie where one is given, and returns what came back, errors included. */
  query<T = Record<string, unknown>>(
    document: string,
    variables?: Record<string, unknown>,
    cookie?: string,
  ): Promise<Answer<T>>;
  close(): Promise<void>;
}

export interface Answer<T> {
  data?: T | null;
  errors?: { message: string; path?: (string | number)[]; extensions?: Record<string, unknown> }[];
}

/** Fills a new database, and the folder of the photographs. */
export type Fill = (store: Store, photographs: string) => Promise<void>;

export interface ServerOptions {
  introspection?: boolean;
  /** Folder of the built client. */
  dist?: string;
  /** What the server is told that it listens on, and is known by; it listens on 127.0.0.1 all the same. */
  host?: string;
  address?: string;
  /** The backups that its page tells of. */
  backups?: Nightly;
  /** Fills the new database before the server listens; without it there is one workshop, a demo, and its one account, for whom whoever asks without a cookie acts. */
  fill?: Fill;
}

const builtClient = fileURLToPath(new URL("../../dist/", import.meta.url));

async function oneWorkshop(store: Store): Promise<void> {
  await store.workshop.create({
    data: {
      name: "Quill Lane Workshop",
      demo: true,
      accounts: { create: { name: "Quill Lane", role: "RESTORER", admin: true } },
    },
  });
}

/** Starts the server on a free port of this machine alone. */
export async function startServer(options: ServerOptions = {}): Promise<TestServer> {
  const { introspection = true, dist = builtClient, fill = oneWorkshop, host, address: known, backups } = options;
  const { store, file, close: closeStore } = await testStore();
  const photographs = path.join(path.dirname(file), "photographs");
  await fill(store, photographs);
  const { app, stop } = await createApp(store, {
    introspection,
    dist,
    photographs,
    host,
    address: known,
    ...(backups && { backups }),
  });
  const server = createServer({ keepAliveTimeout: 120_000 }, app).listen(0, "127.0.0.1");
  refuseUnreadable(server);
  await once(server, "listening");
  const address = `http://127.0.0.1:${(server.address() as AddressInfo).port}`;
  return {
    address,
    store,
    photographs,
    async query<T>(document: string, variables: Record<string, unknown> = {}, cookie?: string) {
      const response = await fetch(`${address}/graphql`, {
        method: "POST",
        headers: { "content-type": "application/json", ...(cookie === undefined ? {} : { cookie }) },
        body: JSON.stringify({ query: document, variables }),
      });
      return (await response.json()) as Answer<T>;
    },
    async close() {
      await stop();
      server.closeAllConnections();
      await new Promise((resolve) => server.close(resolve));
      await closeStore();
    },
  };
}
