/** Pictures over HTTP: one in, to a part, quote, operation or snag; the full picture and its small copy out. */
import { stat } from "node:fs/promises";
import express, { type ErrorRequestHandler, type Request, type RequestHandler, Router } from "express";
import { mayWrite, own, rowOf } from "../../access/rules.ts";
import type { Viewer } from "../../access/viewer.ts";
import { fileOf, MOST_BYTES, smallFileOf, storePhotograph } from "../../io/photographFile.ts";
import type { Store } from "../../store/client.ts";
import { cannotWriteOf, InvalidInput, NotFound, Refused } from "../../store/fault.ts";
import { record } from "../../store/journal.ts";
import { faultsOf } from "../../store/rules.ts";
import { nameWithNoun } from "../../store/tables.ts";
import { statusOf } from "./health.ts";
import { Visit } from "./visit.ts";

/** What a photograph can be of. */
const SUBJECTS = ["part", "quote", "operation", "snag"] as const;
type Subject = (typeof SUBJECTS)[number];

interface Added {
  id: string;
  revision: number;
  /** Null where the same picture is on the row already: nothing was added. */
  change: { id: string; summary: string } | null;
}

/**
 * POST /photographs?part=ID (or quote, operation, snag; caption=), with the picture as the body: answers {@link Added}.
 * GET /photographs/ID/full and /small. Failures are JSON: {code, message}.
 * @param uploads admits as many bodies as are read at once
 */
export function photographRoutes(store: Store, folder: string, uploads: RequestHandler): Router {
  const router = Router();
  const viewerOf = async (request: Request): Promise<Viewer> => {
    const viewer = await new Visit(request, null).viewer(store);
    if (viewer.role === "NOBODY") throw new Refused("NOT_SIGNED_IN", "Sign in to go on.");
    return viewer;
  };

  router.post(
    "/photographs",
    // Who may not add one is told so before anything is read.
    async (request, _response, next) => {
      mayWrite(await viewerOf(request));
      next();
    },
    uploads,
    express.raw({ type: () => true, limit: MOST_BYTES }),
    async (request, response) => {
      const added = await add(store, folder, await viewerOf(request), request);
      response.status(added.change === null ? 200 : 201).json(added);
    },
  );

  router.get("/photographs/:id/:size", async (request, response) => {
    const { id, size } = request.params;
    const viewer = await viewerOf(request);
    const row = await store.photograph.findFirst({ where: rowOf(viewer, "photograph", id) });
    if (row === null || (size !== "full" && size !== "small")) throw new NotFound("photograph");
    const file = size === "full" ? fileOf(folder, row.hash) : smallFileOf(folder, row.hash);
    if (!(await stat(file).catch(() => null)))
      return void response.status(404).json({
        code: "MISSING_FILE",
        message: "The file of this photograph is not on the server. What is said of it is kept.",
      });
    response
      .type(size === "full" ? row.mediaType : "image/webp")
      .set("Content-Security-Policy", "default-src 'none'; sandbox")
      .set("X-Content-Type-Options", "nosniff")
      // The picture behind an address never changes; only this reader's browser may keep it.
      .set("Cache-Control", "private, max-age=31536000, immutable")
      .sendFile(file, { cacheControl: false, lastModified: false, dotfiles: "allow" });
  });

  router.use("/photographs", refused);
  return router;
}

async function add(store: Store, folder: string, viewer: Viewer, request: Request): Promise<Added> {
  mayWrite(viewer);
  const [subject, id] = subjectOf(request.query);
  const row = await own(viewer, store, subject, id);
  const caption = typeof request.query["caption"] === "string" ? request.query["caption"] : "";
  const forOwner = subject !== "quote";
  const faults = faultsOf("photograph", { caption, takenOn: null, forOwner });
  if (faults.length > 0) throw new InvalidInput(faults);
  const body: unknown = request.body;
  if (!Buffer.isBuffer(body) || body.length === 0)
    throw new InvalidInput([
      { code: "UNREADABLE", field: "photograph", message: "The request holds no picture. Nothing was stored." },
    ]);
  const stored = await storePhotograph(folder, body);
  // Sent again because the answer was lost on its way, it is there already.
  const known = await store.photograph.findFirst({ where: { [`${subject}Id`]: id, hash: stored.hash } });
  if (known !== null) return { id: known.id, revision: known.revision, change: null };
  let added = { id: "", revision: 0 };
  const { restorationId } = row;
  const summary = `Added a photograph to ${await nameWithNoun(store, subject, row)}`;
  const change = await record(store, { restorationId, accountId: viewer.accountId, summary }, async (journal) => {
    await own(viewer, journal.tx, subject, id);
    added = await journal.create("photograph", {
      restorationId,
      [`${subject}Id`]: id,
      ...stored,
      caption,
      forOwner,
      accountId: viewer.accountId,
    });
  });
  return { id: added.id, revision: added.revision, change: { id: change.id, summary } };
}

function subjectOf(query: Request["query"]): [Subject, string] {
  const named = SUBJECTS.filter((subject) => query[subject] !== undefined);
  const [subject] = named;
  const id = subject === undefined ? undefined : query[subject];
  if (subject === undefined || named.length > 1 || typeof id !== "string")
    throw new InvalidInput([
      {
        code: "REQUIRED",
        field: "part",
        message: "The address must say what it is of: one part, quote, operation or snag. Nothing was stored.",
      },
    ]);
  return [subject, id];
}

/** Says in JSON why a request was refused; what nobody expected goes on to the server's own handler. */
const refused: ErrorRequestHandler = (error: unknown, _request, response, next) => {
  if (response.headersSent) return next(error);
  const tell = (status: number, code: string, message: string) => response.status(status).json({ code, message });
  if (error instanceof InvalidInput) {
    const [first] = error.faults;
    return tell(first!.code === "TOO_LARGE" ? 413 : 422, first!.code, error.message);
  }
  if (error instanceof NotFound) return tell(404, error.code, error.message);
  if (error instanceof Refused) return tell(error.code === "NOT_SIGNED_IN" ? 401 : 403, error.code, error.message);
  const { type, status } = error as { type?: unknown; status?: unknown };
  if (type === "entity.too.large")
    return tell(413, "TOO_LARGE", `The picture is larger than ${MOST_BYTES / 1024 / 1024} MiB. Nothing was stored.`);
  const disk = cannotWriteOf(error);
  if (disk !== null) return tell(statusOf(disk), disk.code, disk.message);
  if (typeof status === "number" && status >= 400 && status < 500)
    return tell(status, "UNREADABLE", "The request could not be read whole. Nothing was stored.");
  next(error);
};
