/** What a change to an account answers: saved, or one of the failures that are expected. */
import { InvalidInput, Refused, StaleRow } from "../../store/fault.ts";
import { builder } from "../core/builder.ts";
import { InvalidInputType, RefusedType, StaleRowType } from "../core/saveResult.ts";

interface Done {
  is: "AccountSaved";
  id: string;
  link: string | null;
}

type Result =
  | Done
  | { is: "InvalidInput"; code: string; message: string; faults: InvalidInput["faults"] }
  | {
      is: "StaleRow";
      code: string;
      message: string;
      id: string;
      revision: number;
      differences: StaleRow["differences"];
    }
  | { is: "Refused"; code: string; message: string; rows: readonly string[] };

const AccountSaved = builder.objectRef<Done>("AccountSaved").implement({
  fields: (t) => ({
    id: t.exposeID("id", { description: "The account's." }),
    link: t.exposeString("link", {
      nullable: true,
      description: "Path of the link to hand out, told this once: only its hash is kept.",
    }),
  }),
});

export const AccountResult = builder.unionType("AccountResult", {
  types: [AccountSaved, InvalidInputType, StaleRowType, RefusedType],
  resolveType: (result) => (result as Result).is,
});

/** Runs a change to an account; a failure that is expected becomes the answer. */
export async function answering(work: () => Promise<{ id: string; link?: string }>): Promise<Result> {
  try {
    const { id, link } = await work();
    return { is: "AccountSaved", id, link: link ?? null };
  } catch (error) {
    const { message } = error as Error;
    if (error instanceof InvalidInput) return { is: "InvalidInput", code: error.code, message, faults: error.faults };
    if (error instanceof Refused) return { is: "Refused", code: error.code, message, rows: error.rows };
    if (error instanceof StaleRow) {
      const { code, id, revision, differences } = error;
      return { is: "StaleRow", code, message, id, revision, differences };
    }
    throw error;
  }
}

/** Path of the page on which a link is taken up. After the # it is never sent, so no log of the way there holds it. */
export const linkOf = (secret: string): string => `/join#${secret}`;
