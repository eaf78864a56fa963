/** Files over HTTP: a zip in, which becomes a job to follow and apply; a restoration and the templates out. */
import express, { type ErrorRequestHandler, type NextFunction, type Request, type Response, Router } from "express";
import { mayWrite, own, restorationFor } from "../access/rules.ts";
import { type Viewer, viewerOf } from "../access/viewer.ts";
import { exportZip } from "../io/export.ts";
import { type FileSet, readZip } from "../io/folder.ts";
import { applyImport as apply, type ImportPreview, prepareImport, type ReadyImport } from "../io/import.ts";
import { templatesZip } from "../io/templates.ts";
import { ZIP_LIMITS } from "../io/zip.ts";
import type { Store } from "../store/client.ts";
import { type Fault, InvalidInput, NotFound, Refused } from "../store/fault.ts";
import { type JobView, jobs } from "../worker/jobs.ts";

const ZIP_TYPES = ["application/zip", "application/x-zip-compressed"];

/** What an import job holds: what it would do, and until it is applied all that is needed to do it. */
class ImportResult {
  constructor(
    readonly preview: ImportPreview,
    readonly ready: ReadyImport | null,
  ) {}
}

/** What an import would do, or has done; null while it is read, and for other jobs. */
export const previewOf = (job: JobView): ImportPreview | null =>
  job.result instanceof ImportResult ? job.result.preview : null;

/** Starts to read and check files for a restoration of the viewer's workshop, or for a new one. */
function startImport(store: Store, viewer: Viewer, set: FileSet, restorationId: string | null): JobView {
  const destination = { workshopId: viewer.workshopId, accountId: viewer.accountId, restorationId };
  return jobs.start("import", viewer, async (job) => {
    const ready = await prepareImport(store, set, destination, job);
    return new ImportResult(ready.preview, ready);
  });
}

/**
 * Applies an import that is READY: all of it in one recorded change, or nothing.
 * Throws InvalidInput where it is not ready or has faults, NotFound where the viewer has no such job.
 */
export async function applyImport(store: Store, viewer: Viewer, jobId: string): Promise<JobView> {
  mayWrite(viewer);
  const preview = previewOf(jobs.get(jobId, viewer));
  if (preview !== null && !preview.applicable) throw new InvalidInput(preview.faults);
  if (preview?.restoration) await restorationFor(viewer, store, preview.restoration);
  return jobs.resume(jobId, viewer, async (job, result) => {
    const { ready } = result as ImportResult;
    const imported = await apply(
      store,
      { ...ready!, destination: { ...ready!.destination, accountId: viewer.accountId } },
      job,
    );
    return new ImportResult(imported.preview, null);
  });
}

/** POST /import, GET /export/ID.zip and GET /templates.zip. Failures are JSON: {code, message, faults}. */
export function fileRoutes(store: Store): Router {
  const router = Router();

  router.post(
    "/import",
    zipsOnly,
    express.raw({ type: ZIP_TYPES, limit: ZIP_LIMITS.packed }),
    async (request, response) => {
      const viewer = await viewerOf(store);
      mayWrite(viewer);
      const { restoration } = request.query;
      const asked = typeof restoration === "string" && restoration !== "" ? restoration : null;
      if (asked === null && restoration !== undefined) throw new NotFound("restoration", "");
      const restorationId = asked === null ? null : await restorationFor(viewer, store, asked);
      const body: unknown = request.body;
      if (!Buffer.isBuffer(body) || body.length === 0)
        throw new InvalidInput([{ code: "UNREADABLE", message: "The request holds no zip. Nothing was read." }]);
      const set = await readZip(body);
      response.status(202).json({ job: startImport(store, viewer, set, restorationId).id });
    },
  );

  router.get("/export/:name", async (request, response) => {
    const { name } = request.params;
    if (!name.endsWith(".zip")) throw new NotFound("restoration", name);
    const viewer = await viewerOf(store);
    const { id, machine } = await own(viewer, store, "restoration", name.slice(0, -".zip".length));
    send(response, fileName(machine), await exportZip(store, viewer.workshopId, id));
  });

  router.get("/templates.zip", (_request, response) => {
    send(response, "lastbolt-templates.zip", templatesZip());
  });

  router.use(refused);
  return router;
}

function send(response: Response, name: string, zip: Uint8Array): void {
  response.attachment(name).type("application/zip").set("Cache-Control", "no-store").send(Buffer.from(zip));
}

/** A file name that every system takes: the machine's, without what separates folders, names devices or steers a terminal. */
export function fileName(machine: string): string {
  const name = machine
    .replace(/[\p{C}<>:"/\\|?*]+/gu, " ")
    .replace(/\s+/g, " ")
    .replace(/^[ .]+/, "")
    .slice(0, 80)
    .replace(/[ .]+$/, "");
  return `${name || "restoration"}.zip`;
}

function zipsOnly(request: Request, _response: Response, next: NextFunction): void {
  next(request.is(ZIP_TYPES) ? undefined : new WrongType());
}

class WrongType extends Error {}

/** Says in JSON why a request was refused; what nobody expected goes on to the server's own handler. */
const refused: ErrorRequestHandler = (error: unknown, _request, response, next) => {
  if (response.headersSent) return next(error);
  const tell = (status: number, code: string, message: string, faults: readonly Fault[] = []) =>
    response.status(status).json({ code, message, faults });
  if (error instanceof InvalidInput) {
    const [first] = error.faults;
    return tell(first!.code === "TOO_LARGE" ? 413 : 422, first!.code, error.message, error.faults);
  }
  if (error instanceof NotFound) return tell(404, error.code, error.message);
  if (error instanceof Refused) return tell(403, error.code, error.message);
  if (error instanceof WrongType)
    return tell(415, "UNREADABLE", "Send a zip with the content type application/zip. Nothing was read.");
  const { type, status } = error as { type?: unknown; status?: unknown };
  if (type === "entity.too.large") return tell(413, "TOO_LARGE", "The zip is larger than 64 MiB. Nothing was read.");
  if (typeof status === "number" && status >= 400 && status < 500)
    return tell(status, "UNREADABLE", "The request could not be read whole. Nothing was changed.");
  next(error);
};
