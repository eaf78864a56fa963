/** Files over HTTP: a zip in, which becomes a job to follow and apply; a restoration and the templates out. */
import express, {
  type ErrorRequestHandler,
  type NextFunction,
  type Request,
  type RequestHandler,
  type Response,
  Router,
} from "express";
import { z } from "zod";
import { mayUseFiles, own, restorationFor } from "../../access/rules.ts";
import type { Viewer } from "../../access/viewer.ts";
import { exportZip } from "../../io/export.ts";
import { readZip } from "../../io/folder.ts";
import { prepareImport } from "../../io/import.ts";
import { ledgerCsv } from "../../io/ledger.ts";
import { incoming } from "../../io/slices.ts";
import { templatesZip } from "../../io/templates.ts";
import { ZIP_LIMITS } from "../../io/zip.ts";
import type { Store } from "../../store/client.ts";
import { cannotWriteOf, type Fault, InvalidInput, NotFound, Refused } from "../../store/fault.ts";
import { alike } from "../../store/trades.ts";
import { jobs } from "../../worker/jobs.ts";
import { statusOf } from "./health.ts";
import { Visit } from "./visit.ts";

export const ZIP_TYPES = ["application/zip", "application/x-zip-compressed"];

/**
 * POST /import, GET /export/ID.zip, GET /ledger/ID.csv and GET /templates.zip. Failures are JSON: {code, message, faults}.
 * @param uploads admits as many bodies as are read at once
 */
export function fileRoutes(store: Store, uploads: RequestHandler): Router {
  const router = Router();
  const restorerOf = async (request: Request): Promise<Viewer> => {
    const viewer = await new Visit(request, null).viewer(store);
    mayUseFiles(viewer);
    return viewer;
  };

  router.post(
    "/import",
    zipsOnly,
    // Who may not is told so before anything is read.
    async (request, _response, next) => {
      await restorerOf(request);
      next();
    },
    uploads,
    express.raw({ type: ZIP_TYPES, limit: ZIP_LIMITS.packed }),
    async (request, response) => {
      const viewer = await restorerOf(request);
      const { restoration } = request.query;
      const asked = typeof restoration === "string" && restoration !== "" ? restoration : null;
      if (asked === null && restoration !== undefined) throw new NotFound("restoration");
      const machine = typeof request.query.machine === "string" ? request.query.machine.trim() : "";
      const restorationId =
        asked !== null
          ? await restorationFor(viewer, store, asked)
          : machine === ""
            ? null
            : await restorationCalled(store, viewer, machine);
      const body: unknown = request.body;
      if (!Buffer.isBuffer(body) || body.length === 0)
        throw new InvalidInput([{ code: "UNREADABLE", message: "The request holds no zip. Nothing was read." }]);
      const columns = columnsIn(request.query.columns);
      const set = { ...(await incoming.take(() => readZip(body))), columns };
      const { workshopId, accountId } = viewer;
      const destination = { workshopId, accountId, restorationId, machine: machine || undefined };
      const job = jobs.start("import", viewer, (running) =>
        incoming.take(() => prepareImport(store, set, destination, running)),
      );
      response.status(202).json({ job: job.id });
    },
  );

  router.get("/export/:name", async (request, response) => {
    const { name } = request.params;
    if (!name.endsWith(".zip")) throw new NotFound("restoration");
    const viewer = await restorerOf(request);
    const { id, machine } = await own(viewer, store, "restoration", name.slice(0, -".zip".length));
    send(response, fileName(machine), await exportZip(store, viewer.workshopId, id));
  });

  router.get("/ledger/:name", async (request, response) => {
    const { name } = request.params;
    if (!name.endsWith(".csv")) throw new NotFound("restoration");
    const viewer = await restorerOf(request);
    const restoration = await own(viewer, store, "restoration", name.slice(0, -".csv".length));
    response
      .attachment(`${fileName(restoration.machine).replace(/\.zip$/, "")} ledger.csv`)
      .type("text/csv")
      .set("Cache-Control", "no-store")
      .send(await ledgerCsv(store, restoration));
  });

  router.get("/templates.zip", async (_request, response) => {
    send(response, "lastbolt-templates.zip", await templatesZip());
  });

  router.use(refused);
  return router;
}

/** The workshop's restoration of that name; null where there is none, so that it is a new one's. */
async function restorationCalled(store: Store, { workshopId }: Viewer, machine: string): Promise<string | null> {
  const all = await store.restoration.findMany({ where: { workshopId }, select: { id: true, machine: true } });
  const called = all.filter((one) => alike(one.machine) === alike(machine));
  if (called.length > 1)
    throw new InvalidInput([
      {
        code: "DUPLICATE",
        field: "machine",
        value: machine,
        message: `${called.length} restorations are called ${machine.slice(0, 80)}: bring the files in on the sheet Files of one of them.`,
      },
    ]);
  return called[0]?.id ?? null;
}

/** What somebody says that columns are, as JSON: {"parts.csv": {"Menge": "quantity"}}. */
function columnsIn(asked: unknown): Record<string, Record<string, string>> {
  if (asked === undefined) return {};
  const wrong = new InvalidInput([
    {
      code: "UNREADABLE",
      field: "columns",
      message: "What columns are is said by file, heading and name of the column, as JSON. Nothing was read.",
    },
  ]);
  const read = z.record(z.string(), z.record(z.string(), z.string()));
  try {
    return read.parse(JSON.parse(String(asked)));
  } catch {
    throw wrong;
  }
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

export function zipsOnly(request: Request, _response: Response, next: NextFunction): void {
  next(request.is(ZIP_TYPES) ? undefined : new WrongType());
}

class WrongType extends Error {}

/** Says in JSON why a request was refused; what nobody expected goes on to the server's own handler. */
export const refused: ErrorRequestHandler = (error: unknown, _request, response, next) => {
  if (response.headersSent) return next(error);
  const tell = (status: number, code: string, message: string, faults: readonly Fault[] = []) =>
    response.status(status).json({ code, message, faults });
  if (error instanceof InvalidInput) {
    const [first] = error.faults;
    return tell(first!.code === "TOO_LARGE" ? 413 : 422, first!.code, error.message, error.faults);
  }
  if (error instanceof NotFound) return tell(404, error.code, error.message);
  if (error instanceof Refused && error.code === "TOO_BUSY") {
    response.set("Retry-After", "1");
    return tell(503, error.code, error.message);
  }
  if (error instanceof Refused) return tell(error.code === "NOT_SIGNED_IN" ? 401 : 403, error.code, error.message);
  if (error instanceof WrongType)
    return tell(415, "UNREADABLE", "Send a zip with the content type application/zip. Nothing was read.");
  const { type, status } = error as { type?: unknown; status?: unknown };
  if (type === "entity.too.large") return tell(413, "TOO_LARGE", "The zip is larger than 64 MiB. Nothing was read.");
  const disk = cannotWriteOf(error);
  if (disk !== null) return tell(statusOf(disk), disk.code, disk.message);
  if (typeof status === "number" && status >= 400 && status < 500)
    return tell(status, "UNREADABLE", "The request could not be read whole. Nothing was changed.");
  next(error);
};
