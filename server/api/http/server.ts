/** The one port: GraphQL, its stream of events, files in and out, and the built client. */
import { type Server, STATUS_CODES } from "node:http";
import path from "node:path";
import { ApolloServer, type ApolloServerPlugin } from "@apollo/server";
import {
  ApolloServerPluginCacheControlDisabled,
  ApolloServerPluginLandingPageDisabled,
} from "@apollo/server/plugin/disabled";
import { expressMiddleware } from "@as-integrations/express5";
import express, { type ErrorRequestHandler, type Express, type Response } from "express";
import { GraphQLError } from "graphql";
import helmet from "helmet";
import type { Nightly } from "../../io/nightlyBackups.ts";
import { RUNS } from "../../plan/odds/odds.ts";
import { drawBy } from "../../plan/rows/draws.ts";
import type { Store } from "../../store/client.ts";
import { cannotWriteOf } from "../../store/fault.ts";
import { orderDaysInThread } from "../../worker/computations.ts";
import { Answers } from "../core/answers.ts";
import { Context } from "../core/context.ts";
import { formatFailure } from "../core/failure.ts";
import { atMost, inFlight } from "../core/inFlight.ts";
import { countIntrospection } from "../core/introspection.ts";
import { MOST_BODY, MOST_TOKENS } from "../core/limits.ts";
import { oddsOfHunt } from "../hunt/huntOdds.ts";
import { schema, schemaText } from "../schema.ts";
import { calendarRoutes } from "./calendarFeed.ts";
import { clubFileRoutes } from "./clubFiles.ts";
import { fileRoutes } from "./files.ts";
import { diskStatus, healthRoutes, statusOf } from "./health.ts";
import { ownHostsOnly, type Reached } from "./ownHosts.ts";
import { photographRoutes } from "./photographFiles.ts";
import { eventStream } from "./stream.ts";
import { ownPagesOnly, Visit, visitOf } from "./visit.ts";

export interface AppOptions extends Reached {
  /** Whether the schema can be asked for, and Apollo's own try-it page is served. */
  introspection: boolean;
  /** Folder of the built client. */
  dist: string;
  /** Folder of the photographs. */
  photographs: string;
  /** The backups of the data folder; absent where none are kept. */
  backups?: Nightly;
}

/** Express with everything mounted; `stop` ends what runs in it. Nothing listens yet. */
export async function createApp(
  store: Store,
  { introspection, dist, photographs, backups, ...reached }: AppOptions,
): Promise<{ app: Express; stop(): Promise<void> }> {
  const apollo = new ApolloServer<Context>({
    schema,
    introspection,
    includeStacktraceInErrorResponses: false,
    allowBatchedHttpRequests: false,
    csrfPrevention: true,
    persistedQueries: false,
    parseOptions: { maxTokens: MOST_TOKENS },
    formatError: formatFailure,
    stopOnTerminationSignals: false,
    plugins: [
      countIntrospection,
      noSubscriptions,
      diskStatus,
      ApolloServerPluginLandingPageDisabled(),
      // It would look at every field of every row for a hint that no field has.
      ApolloServerPluginCacheControlDisabled(),
    ],
  });
  await apollo.start();
  drawBy(store, { orderDays: (work) => orderDaysInThread(work, RUNS), huntOdds: oddsOfHunt });
  const contextOf = async (visit: Visit) => new Context(store, await visit.viewer(store), visit, backups);

  const app = express();
  const built = path.resolve(dist);
  const page = (response: Response): void => {
    response.setHeader("Cache-Control", "no-cache");
    response.sendFile("index.html", { root: built, cacheControl: false });
  };
  const body = express.json({ limit: MOST_BODY });
  app.disable("x-powered-by");
  // A proxy on this machine says who asks and whether it came over https; nobody else is believed.
  app.set("trust proxy", "loopback");
  app.use(protection, ownHostsOnly(reached));
  app.use(
    [
      "/graphql",
      "/import",
      "/export",
      "/ledger",
      "/photographs",
      "/templates.zip",
      "/club-import",
      "/club-export.zip",
      "/club-templates.zip",
    ],
    ownPagesOnly,
  );
  const worked = inFlight();
  app.post(
    "/graphql/stream",
    atMost(MOST_STREAMS, STREAM_MS),
    body,
    eventStream(schema, (request) => contextOf(new Visit(request, null))),
  );
  // Whoever opens the address of the API in a browser gets the client's own page for asking, where the schema may be read.
  if (introspection) {
    let text: string | undefined;
    app.get("/schema.graphql", (_request, response) => {
      // It is always the same, and 100 kB to put together.
      text ??= schemaText();
      response.type("text/plain").send(text);
    });
    app.get("/graphql", (request, response, next) => {
      if (request.accepts(["json", "html"]) === "html" && request.query["query"] === undefined) page(response);
      else next();
    });
  }
  app.use(
    "/graphql",
    // A body that is sent slowly keeps nobody waiting.
    body,
    // What is known already is answered whatever else there is to do.
    new Answers(store).handler((request, response) => visitOf(request, response).viewer(store)),
    worked.hold,
    worked.admit,
    expressMiddleware(apollo, { context: ({ req, res }) => contextOf(visitOf(req, res)) }),
  );
  // A body may be as large as 64 MiB, so that few are read at once; Node ends one that takes longer than five minutes.
  const uploads = atMost(MOST_UPLOADS);
  app.use(["/export", "/ledger", "/club-export.zip", "/calendar"], worked.hold, worked.admit);
  app.use(fileRoutes(store, uploads));
  app.use(clubFileRoutes(store, uploads));
  app.use(photographRoutes(store, photographs, uploads));
  app.use(calendarRoutes(store));
  app.use(healthRoutes(store, path.dirname(photographs)));
  // The built client's assets carry a hash of their content in their names.
  app.use(
    "/assets",
    express.static(path.join(built, "assets"), {
      immutable: true,
      maxAge: "365d",
      index: false,
      redirect: false,
      fallthrough: false,
    }),
  );
  // The worker of the field sheet keeps its address, so every visit asks whether there is a newer one.
  app.get("/field-worker.js", (_request, response, next) => {
    response.setHeader("Cache-Control", "no-cache");
    response.sendFile("field-worker.js", { root: built, cacheControl: false }, (error) => {
      if (error) next(error);
    });
  });
  app.use(express.static(built, { index: false, redirect: false }));
  app.get("/{*splat}", (_request, response) => page(response));
  app.use((_request, response) => {
    response.status(404).json(REFUSALS[404]);
  });
  app.use(refuse);
  return { app, stop: () => apollo.stop() };
}

/** Streams of events at once, and milliseconds that one lasts: whoever still follows begins another. */
const MOST_STREAMS = 256;
const STREAM_MS = 15 * 60_000;
/** Files that are taken in at once. */
const MOST_UPLOADS = 4;

/** The built client loads nothing but its own files, and talks to nobody but its own server. Plain HTTP is local. */
const protection = helmet({
  contentSecurityPolicy: {
    useDefaults: false,
    directives: {
      defaultSrc: ["'self'"],
      baseUri: ["'none'"],
      formAction: ["'self'"],
      frameAncestors: ["'none'"],
      imgSrc: ["'self'", "data:", "blob:"],
      objectSrc: ["'none'"],
      styleSrc: ["'self'", "'unsafe-inline'"],
      workerSrc: ["'self'", "blob:"],
    },
  },
  strictTransportSecurity: false,
});

/** Apollo answers a document once; what goes on answering has an address of its own. */
const noSubscriptions: ApolloServerPlugin<Context> = {
  requestDidStart: async () => ({
    didResolveOperation: async ({ operation }) => {
      if (operation?.operation === "subscription")
        throw new GraphQLError("Subscriptions are served at /graphql/stream.", { extensions: { code: "BAD_REQUEST" } });
    },
  }),
};

const UNREADABLE = { code: "UNREADABLE", message: "The request cannot be read." };

const REFUSALS: Record<number, { code: string; message: string }> = {
  403: { code: "NOT_ALLOWED", message: "Nobody may read this." },
  404: { code: "NOT_FOUND", message: "There is nothing here." },
  412: { code: "UNREADABLE", message: "What is here is not what the request asks for." },
  413: { code: "TOO_LARGE", message: "The request is too large: at most 1 MiB." },
  415: { code: "UNREADABLE", message: "The request is in an encoding or a kind of file that is not read here." },
  416: { code: "UNREADABLE", message: "What is here is shorter than the request asks for." },
  431: { code: "TOO_LARGE", message: "The head of the request is too large." },
};

/** What a file that was about to be sent has set, and what does not go for the refusal sent instead. */
const OF_A_FILE = ["Content-Type", "Content-Length", "Content-Range", "Cache-Control", "ETag", "Last-Modified"];

/** What fails before it reaches GraphQL is told in the same shape everywhere. */
const refuse: ErrorRequestHandler = (error: { status?: unknown }, _request, response, next) => {
  if (response.headersSent) return next(error);
  const disk = cannotWriteOf(error);
  if (disk !== null) return void response.status(statusOf(disk)).json({ code: disk.code, message: disk.message });
  for (const name of OF_A_FILE) response.removeHeader(name);
  const { status } = error;
  if (typeof status === "number" && status >= 400 && status < 500)
    return void response.status(status).json(REFUSALS[status] ?? UNREADABLE);
  console.error(error);
  response.status(500);
  response.json({ code: "INTERNAL_SERVER_ERROR", message: "Something went wrong in the program." });
};

/** Answers what is no HTTP, or has too large a head, in the same shape too: it never reaches Express. */
export function refuseUnreadable(server: Server): void {
  server.on("clientError", (error: NodeJS.ErrnoException, socket) => {
    if (!socket.writable || error.code === "ECONNRESET") return void socket.destroy();
    const status = STATUS_OF[error.code ?? ""] ?? 400;
    const body = JSON.stringify(REFUSALS[status] ?? UNREADABLE);
    socket.end(
      `HTTP/1.1 ${status} ${STATUS_CODES[status]}\r\nConnection: close\r\nContent-Type: application/json; charset=utf-8\r\nContent-Length: ${Buffer.byteLength(body)}\r\n\r\n${body}`,
    );
  });
}

const STATUS_OF: Readonly<Record<string, number>> = {
  HPE_HEADER_OVERFLOW: 431,
  HPE_CHUNK_EXTENSIONS_OVERFLOW: 413,
  ERR_HTTP_REQUEST_TIMEOUT: 408,
};
