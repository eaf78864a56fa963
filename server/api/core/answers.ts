/**
 * Whole answers kept, and worked out once for all who ask the same at the same time. An answer holds while nothing in the
 * database has changed, on one day and for one viewer; only questions whose answers rest on nothing else are kept.
 */
import type { Request, RequestHandler, Response } from "express";
import { parse } from "graphql";
import type { Viewer } from "../../access/viewer.ts";
import { quarterHour } from "../../plan/days/today.ts";
import { KeptByVersion, newest } from "../../plan/rows/kept.ts";
import type { Store } from "../../store/client.ts";

/** Fields of Query that read the rows of one workshop and nothing that lives outside the database. */
const KEPT: ReadonlySet<string> = new Set([
  "__typename",
  "changes",
  "holdUps",
  "hunt",
  "operation",
  "part",
  "restoration",
  "restorations",
  "snag",
  "supplier",
  "suppliers",
]);

/** Characters of one answer and of all that are kept; documents of which it is known whether they are kept. */
const MOST_EACH = 2_000_000;
const MOST_ALL = 32_000_000;
const MOST_DOCUMENTS = 500;

interface Answer {
  type: string;
  text: string;
}

export class Answers {
  private readonly kept = new KeptByVersion<Answer | null>();
  private readonly sizes = new WeakMap<object, number>();
  private readonly documents = new Map<string, boolean>();

  constructor(private readonly store: Store) {}

  /**
   * Answers from what is kept, or lets the request through and keeps what is answered.
   * @param viewerOf who asks, as the request's cookie says
   */
  handler(viewerOf: (request: Request, response: Response) => Promise<Viewer>): RequestHandler {
    return async (request, response, next) => {
      const body: unknown = request.body;
      if (request.method !== "POST" || !this.isKept(body)) return next();
      const viewer = await viewerOf(request, response);
      const key = keyOf([viewer, quarterHour(), request.get("accept"), body]);
      if (key === null) return next();
      const answers = this.kept.now(this.store);
      const known = answers.get(key);
      const answer = (await known) ?? null;
      if (answer !== null) {
        response.set("Cache-Control", "no-store").set("Content-Type", answer.type).send(answer.text);
        return;
      }
      // What could not be kept the first time is worked out by each who asks.
      if (known !== undefined) return next();
      answers.set(
        key,
        new Promise((resolve) => {
          const send = response.send.bind(response);
          response.send = (text: unknown) => {
            const kept = answerOf(response, text);
            if (kept === null) answers.delete(key);
            else this.bound(answers, key.length + kept.text.length);
            resolve(kept);
            response.send = send;
            return send(text);
          };
          // Whoever asked went away before there was an answer.
          response.once("close", () => {
            if (!response.writableEnded) answers.delete(key);
            resolve(null);
          });
        }),
      );
      next();
    };
  }

  /** Lets go of everything where one state of the database has given rise to too much. */
  private bound(answers: Map<string, unknown>, added: number): void {
    const size = (this.sizes.get(answers) ?? 0) + added;
    this.sizes.set(answers, size > MOST_ALL ? 0 : size);
    if (size > MOST_ALL) answers.clear();
  }

  /** Whether every field that the document asks for at its root is one of which answers are kept. */
  private isKept(body: unknown): body is { query: string } {
    const query = (body as { query?: unknown } | null)?.query;
    if (typeof query !== "string") return false;
    const known = this.documents.get(query) ?? asksOnlyKept(query);
    newest(this.documents, query, known, MOST_DOCUMENTS);
    return known;
  }
}

/** Null for values that lie within each other too deeply to be written out. */
function keyOf(parts: unknown[]): string | null {
  try {
    return JSON.stringify(parts);
  } catch {
    return null;
  }
}

/** The field that differs between two browsers of one account; a name is written in one way only. */
const OF_BROWSER = "signIns";

/** The answer where it may serve others: whole, without an error, and not too long. */
function answerOf(response: Response, text: unknown): Answer | null {
  if (response.statusCode !== 200 || typeof text !== "string" || text.length > MOST_EACH) return null;
  return text.startsWith('{"data"') ? { type: response.get("Content-Type") ?? "application/json", text } : null;
}

function asksOnlyKept(query: string): boolean {
  if (query.includes(OF_BROWSER)) return false;
  try {
    const { definitions } = parse(query, { maxTokens: 4_000, noLocation: true });
    return definitions.every(
      (definition) =>
        definition.kind === "FragmentDefinition" ||
        (definition.kind === "OperationDefinition" &&
          definition.operation === "query" &&
          definition.selectionSet.selections.every(
            (selection) => selection.kind === "Field" && KEPT.has(selection.name.value),
          )),
    );
  } catch {
    return false;
  }
}
