/** The one port: GraphQL, its stream of events, files in and out, and the built client. */
import path from "node:path";
import { ApolloServer } from "@apollo/server";
import { ApolloServerPluginLandingPageDisabled } from "@apollo/server/plugin/disabled";
import { ApolloServerPluginLandingPageLocalDefault } from "@apollo/server/plugin/landingPage/default";
import { expressMiddleware } from "@as-integrations/express5";
import express, { type ErrorRequestHandler, type Express } from "express";
import helmet from "helmet";
import type { Nightly } from "../io/nightlyBackups.ts";
import type { Store } from "../store/client.ts";
import { calendarRoutes } from "./calendarFeed.ts";
import { clubFileRoutes } from "./clubFiles.ts";
import { Context } from "./context.ts";
import { formatFailure } from "./failure.ts";
import { fileRoutes } from "./files.ts";
import { MOST_BODY, MOST_TOKENS } from "./limits.ts";
import { photographRoutes } from "./photographFiles.ts";
import { schema } from "./schema.ts";
import { eventStream } from "./stream.ts";
import { ownPagesOnly, Visit } from "./visit.ts";

export interface AppOptions {
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
  { introspection, dist, photographs, backups }: AppOptions,
): Promise<{ app: Express; stop(): Promise<void> }> {
  const apollo = new ApolloServer<Context>({
    schema,
    introspection,
    includeStacktraceInErrorResponses: false,
    allowBatchedHttpRequests: false,
    csrfPrevention: true,
    parseOptions: { maxTokens: MOST_TOKENS },
    formatError: formatFailure,
    stopOnTerminationSignals: false,
    plugins: [introspection ? ApolloServerPluginLandingPageLocalDefault() : ApolloServerPluginLandingPageDisabled()],
  });
  await apollo.start();
  const contextOf = async (visit: Visit) => new Context(store, await visit.viewer(store), visit, backups);

  const app = express();
  const built = path.resolve(dist);
  const body = express.json({ limit: MOST_BODY });
  app.disable("x-powered-by");
  // A proxy on this machine says who asks and whether it came over https; nobody else is believed.
  app.set("trust proxy", "loopback");
  app.use(protection);
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
  app.post(
    "/graphql/stream",
    body,
    eventStream(schema, (request) => contextOf(new Visit(request, null))),
  );
  if (introspection) app.get("/graphql", tryItProtection);
  app.use("/graphql", body, expressMiddleware(apollo, { context: ({ req, res }) => contextOf(new Visit(req, res)) }));
  app.use(fileRoutes(store));
  app.use(clubFileRoutes(store));
  app.use(photographRoutes(store, photographs));
  app.use(calendarRoutes(store));
  // The built client's assets carry a hash of their content in their names.
  app.use(
    "/assets",
    express.static(path.join(built, "assets"), { immutable: true, maxAge: "365d", index: false, fallthrough: false }),
  );
  // The worker of the field sheet keeps its address, so every visit asks whether there is a newer one.
  app.get("/field-worker.js", (_request, response, next) => {
    response.setHeader("Cache-Control", "no-cache");
    response.sendFile("field-worker.js", { root: built, cacheControl: false }, (error) => {
      if (error) next(error);
    });
  });
  app.use(express.static(built, { index: false }));
  app.get("/{*splat}", (_request, response) => {
    response.setHeader("Cache-Control", "no-cache");
    response.sendFile("index.html", { root: built, cacheControl: false });
  });
  app.use(refuse);
  return { app, stop: () => apollo.stop() };
}

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

const APOLLO = "https://*.apollographql.com";

/** Apollo's page brings its own scripts from its makers, and narrows this further by itself. */
const tryItProtection = helmet({
  contentSecurityPolicy: {
    useDefaults: false,
    directives: {
      defaultSrc: ["'self'"],
      connectSrc: ["'self'", APOLLO],
      frameSrc: ["'self'", APOLLO],
      imgSrc: ["'self'", "data:", APOLLO],
      manifestSrc: ["'self'", APOLLO],
      scriptSrc: ["'self'", "'unsafe-inline'", "https://*.cdn.apollographql.com"],
      styleSrc: ["'self'", "'unsafe-inline'", APOLLO, "https://fonts.googleapis.com"],
      fontSrc: ["'self'", "https://fonts.gstatic.com"],
    },
  },
  crossOriginEmbedderPolicy: false,
  strictTransportSecurity: false,
});

const REFUSALS: Record<number, { code: string; message: string }> = {
  400: { code: "UNREADABLE", message: "The request cannot be read." },
  404: { code: "NOT_FOUND", message: "There is nothing here." },
  413: { code: "TOO_LARGE", message: "The request is too large: at most 1 MiB." },
};

/** What fails before it reaches GraphQL is told in the same shape everywhere. */
const refuse: ErrorRequestHandler = (error: { status?: number }, _request, response, next) => {
  if (response.headersSent) return next(error);
  const known = REFUSALS[error.status ?? 500];
  if (known === undefined) console.error(error);
  response.status(known === undefined ? 500 : (error.status ?? 500));
  response.json(known ?? { code: "INTERNAL_SERVER_ERROR", message: "Something went wrong in the program." });
};
