/** GET /health, for whoever looks after the server and for the head of the sheets: whether changes can be kept. */
import type { ApolloServerPlugin } from "@apollo/server";
import { Router } from "express";
import type { Store } from "../../store/client.ts";
import { type CannotWrite, DISK_CODES } from "../../store/fault.ts";
import { writeFault } from "../../store/health.ts";

/** Milliseconds for which one look at the disk answers everybody. */
const KEPT_MS = 1_000;

/** The status by which a request is answered that the disk did not take: 507 is Insufficient Storage. */
export const statusOf = ({ code }: Pick<CannotWrite, "code">): number => (code === "DISK_FULL" ? 507 : 503);

/** Gives an answer of GraphQL that status too, so that whoever sent the change tries again later. */
export const diskStatus: ApolloServerPlugin = {
  requestDidStart: async () => ({
    async willSendResponse({ response: { http, body } }) {
      if (body.kind !== "single") return;
      const codes = body.singleResult.errors?.map(({ extensions }) => extensions?.["code"]);
      const code = DISK_CODES.find((known) => codes?.includes(known));
      if (code !== undefined) http.status = statusOf({ code });
    },
  }),
};

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
