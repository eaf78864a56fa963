/** GET /health, for whoever looks after the server and for the head of the sheets: whether changes can be kept. */
import { Router } from "express";
import type { Store } from "../store/client.ts";
import type { CannotWrite } from "../store/fault.ts";
import { writeFault } from "../store/health.ts";

/** Milliseconds for which one look at the disk answers everybody. */
const KEPT_MS = 1_000;

/** The status by which a request is answered that the disk did not take: 507 is Insufficient Storage. */
export const statusOf = ({ code }: CannotWrite): number => (code === "DISK_FULL" ? 507 : 503);

/** Answers 200 {ok: true}, or 503 {ok: false, code, message} with a code of CannotWrite. */
export function healthRoutes(store: Store, folder: string): Router {
  let asked: { at: number; fault: Promise<CannotWrite | null> } | null = null;
  const look = () => {
    if (asked === null || performance.now() - asked.at > KEPT_MS)
      asked = { at: performance.now(), fault: writeFault(store, folder) };
    return asked.fault;
  };
  return Router().get("/health", async (_request, response) => {
    const fault = await look();
    response.set("Cache-Control", "no-store");
    if (fault === null) return void response.json({ ok: true });
    response.status(503).json({ ok: false, code: fault.code, message: fault.message });
  });
}
