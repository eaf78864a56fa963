/** The club's files over HTTP: a zip in, a zip out, for its members. */
import express, { Router as newRouter, type Router } from "express";
import { memberOf } from "../../access/club.ts";
import { CLUB_FILE_NAMES } from "../../io/clubColumns.ts";
import { clubZip } from "../../io/clubHeld.ts";
import { clubTemplatesZip } from "../../io/clubTemplates.ts";
import { EARLIER_CLUB_FILES } from "../../io/columns.ts";
import { incoming } from "../../io/slices.ts";
import { openZip, ZIP_LIMITS } from "../../io/zip.ts";
import type { Store } from "../../store/client.ts";
import { type Fault, InvalidInput, Refused } from "../../store/fault.ts";
import { importClub } from "../club/clubImport.ts";
import { fileName, refused, ZIP_TYPES, zipsOnly } from "./files.ts";
import { Visit } from "./visit.ts";

/**
 * POST /club-import, GET /club-export.zip and GET /club-templates.zip. Failures are JSON: {code, message, faults}.
 * @param uploads admits as many bodies as are read at once
 */
export function clubFileRoutes(store: Store, uploads: express.RequestHandler): Router {
  const router = newRouter();
  const signedIn = async (request: express.Request) => {
    const viewer = await new Visit(request, null).viewer(store);
    if (viewer.role === "NOBODY") throw new Refused("NOT_SIGNED_IN", "Sign in to go on.");
    return viewer;
  };
  const memberFrom = async (request: express.Request) => memberOf(await signedIn(request), store);

  router.post(
    "/club-import",
    zipsOnly,
    // Who is signed out is told so before anything is read.
    async (request, _response, next) => {
      await signedIn(request);
      next();
    },
    uploads,
    express.raw({ type: ZIP_TYPES, limit: ZIP_LIMITS.packed }),
    async (request, response) => {
      const member = await memberFrom(request);
      const body: unknown = request.body;
      if (!Buffer.isBuffer(body) || body.length === 0)
        throw new InvalidInput([{ code: "UNREADABLE", message: "The request holds no zip. Nothing was read." }]);
      response.json(
        await incoming.take(async () => {
          const { files, aside } = await filesOf(body);
          // Whoever leaves before the answer stops it.
          const imported = await importClub(store, member, files, () => response.closed);
          return { ...imported, notices: [...aside, ...imported.notices] };
        }),
      );
    },
  );

  router.get("/club-export.zip", async (request, response) => {
    const { id, steward, club } = await memberFrom(request);
    const zip = await clubZip(store, { clubId: club.id, memberId: id, all: steward }, club.currency);
    response
      .attachment(fileName(club.name))
      .type("application/zip")
      .set("Cache-Control", "no-store")
      .send(Buffer.from(zip));
  });

  router.get("/club-templates.zip", async (_request, response) => {
    response
      .attachment("lastbolt-club-templates.zip")
      .type("application/zip")
      .set("Cache-Control", "no-store")
      .send(Buffer.from(await clubTemplatesZip()));
  });

  router.use(refused);
  return router;
}

const READ: ReadonlySet<string> = new Set([...CLUB_FILE_NAMES, ...Object.values(EARLIER_CLUB_FILES)]);

/** The club's files of a zip, by name, and a notice of each other CSV file in it. @throws InvalidInput where it holds none, or one of them twice */
async function filesOf(zip: Uint8Array): Promise<{ files: Map<string, Uint8Array>; aside: Fault[] }> {
  const nameOf = (path: string): string => path.slice(path.lastIndexOf("/") + 1).toLowerCase();
  const known = (path: string): boolean => READ.has(nameOf(path)) && !path.startsWith("__MACOSX/");
  const { files, others } = await openZip(zip, known);
  const byName = new Map<string, Uint8Array>();
  for (const { path, bytes } of files) {
    const name = nameOf(path);
    if (byName.has(name))
      throw new InvalidInput([
        { code: "DUPLICATE", file: path, message: `${name} is in the zip twice. Keep one of them.` },
      ]);
    byName.set(name, bytes);
  }
  if (byName.size === 0)
    throw new InvalidInput([
      {
        code: "MISSING_FILE",
        message: `The zip holds none of the files that are read: ${CLUB_FILE_NAMES.join(", ")}.`,
      },
    ]);
  const aside = others
    .filter((path) => /\.csv$/i.test(path) && !path.startsWith("__MACOSX/"))
    .map((path): Fault => {
      const file = path.slice(0, 200);
      return { code: "UNUSED_COLUMN", file, message: `No file of the club is called ${file}. It was left alone.` };
    });
  return { files: byName, aside };
}
