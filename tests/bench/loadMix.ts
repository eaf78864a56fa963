/** What the connections ask for: the documents of the client's own pages, as its client sends them, and their variables. */
import { readdirSync, readFileSync } from "node:fs";
import path from "node:path";
import { formatDocument } from "@urql/core";
import { buildSchema, parse, print, validate } from "graphql";
import { seeded } from "../support/networks.ts";

/** One request's body, and how its answer is told from a failure. */
export interface Ask {
  kind: Kinds;
  body: string;
  /** Of a save: gives the row back for the next save, with what the answer says of it; false when it was not saved. */
  done?: (answer: Buffer | null) => boolean;
}

/** Of ten requests: four for the hold-ups, three for the list of parts, two for a part, one save. */
const OF_TEN = ["holdUps", "holdUps", "holdUps", "holdUps", "parts", "parts", "parts", "part", "part", "save"] as const;
export type Kinds = (typeof OF_TEN)[number];

/** Names of the operations in `web/`. */
const NAMES = { holdUps: "HoldUps", parts: "Parts", part: "Part", savePart: "SavePart", saveQuote: "SaveQuote" };
export type Documents = Record<keyof typeof NAMES, string>;

/**
 * The pages' documents that the server of every checkout understands: the first checkout's, else another's.
 * @param roots folders of checkouts
 */
export function documentsFor(roots: readonly string[]): Documents {
  const schemas = roots.map((root) => buildSchema(readFileSync(path.join(root, "server/api/schema.graphql"), "utf8")));
  const written = roots.map((root) => definitionsIn(path.join(root, "web")));
  const found = Object.entries(NAMES).map(([key, name]) => {
    for (const definitions of written) {
      const text = definitions.has(name) ? withFragments(name, definitions) : undefined;
      if (text !== undefined && schemas.every((schema) => validate(schema, parse(text)).length === 0))
        return [key, print(formatDocument(parse(text)))];
    }
    throw new Error(`No document ${name} is understood by ${roots.join(" and ")}.`);
  });
  return Object.fromEntries(found) as Documents;
}

/** Operations and fragments of the client by name, without the directive that is for the types alone. */
function definitionsIn(web: string): Map<string, string> {
  const definitions = new Map<string, string>();
  for (const file of readdirSync(web, { recursive: true, encoding: "utf8" })) {
    if (!/\.tsx?$/.test(file)) continue;
    for (const [, text] of readFileSync(path.join(web, file), "utf8").matchAll(/\bgraphql\(\s*`([^`]*)`/g)) {
      const name = /^\s*(?:query|mutation|subscription|fragment)\s+(\w+)/.exec(text!)?.[1];
      if (name !== undefined) definitions.set(name, text!.replaceAll("@_unmask", ""));
    }
  }
  return definitions;
}

function withFragments(name: string, definitions: ReadonlyMap<string, string>): string {
  const wanted = new Set([name]);
  for (const one of wanted) {
    const text = definitions.get(one);
    if (text === undefined) throw new Error(`There is no fragment ${one}.`);
    for (const [, spread] of text.matchAll(/\.\.\.(?!on\b)(\w+)/g)) wanted.add(spread!);
  }
  return [...wanted].map((one) => definitions.get(one)).join("\n");
}

/** Rows of the demo that are read and saved. */
interface Row {
  id: string;
  revision: number;
}
interface QuoteRow extends Row {
  leadDays: number;
}

const RESTORATIONS = "{ restorations(first: 10) { edges { node { id parts(first: 1) { totalCount } } } } }";
const ROWS = `query ($id: ID!, $after: String) { restoration(id: $id) { parts(first: 100, after: $after) {
  pageInfo { hasNextPage endCursor }
  edges { node { id revision quotes { id revision leadDays leadLeast leadMost } orders { id } } }
} } }`;

/** Endless requests in the shares of the mix, over the restoration of the demo that has the most parts. */
export async function mixFor(address: string, documents: Documents): Promise<() => Ask> {
  const { restoration, parts, quotes } = await rowsOf(address);
  const random = seeded(7);
  const body = (query: string, variables: object): string => JSON.stringify({ query, variables });
  const holdUps = body(documents.holdUps, {
    restoration,
    figuresFor: null,
    confidence: null,
    ladderFirst: 20,
    orderFirst: 15,
    chaseFirst: 15,
    freeFirst: 15,
    trade: null,
    contact: true,
    landed: true,
  });
  const list = body(documents.parts, { restoration, first: 50, sort: "STATE", descending: false });
  const sheets = parts.map(({ id }) => body(documents.part, { part: id }));
  // A document that has since got another variable would fail thousands of times before the end says so.
  for (const one of [holdUps, list, sheets[0]!]) await answered(address, one);
  const freeParts = [...parts];
  const freeQuotes = [...quotes];
  let sheet = 0;
  let saves = 0;

  /** Each row is saved by one connection at a time, so that its revision is always the right one. */
  const save = (): Ask => {
    const ofQuote = freeParts.length === 0 || (saves++ % 2 === 1 && freeQuotes.length > 0);
    const free: Row[] = ofQuote ? freeQuotes : freeParts;
    const row = free.shift();
    if (row === undefined) throw new Error("There are more connections than rows to save.");
    const { id, revision } = row;
    const change = ofQuote
      ? // A day to and fro: the plan is another after each, and after many still the demo's.
        { leadDays: (row as QuoteRow).leadDays + (revision % 2) }
      : { notes: `Looked at ${saves} times` };
    return {
      kind: "save",
      body: body(ofQuote ? documents.saveQuote : documents.savePart, { input: { id, revision, ...change } }),
      done(answer) {
        const saved = answer === null ? null : /"__typename":"Saved".*?"revision":(\d+)/.exec(answer.toString());
        if (saved) row.revision = Number(saved[1]);
        free.push(row);
        return saved !== null;
      },
    };
  };

  let turn: Kinds[] = [];
  return () => {
    if (turn.length === 0) turn = OF_TEN.toSorted(() => random() - 0.5);
    const kind = turn.pop()!;
    if (kind === "save") return save();
    return { kind, body: kind === "holdUps" ? holdUps : kind === "parts" ? list : sheets[sheet++ % sheets.length]! };
  };
}

interface PartAnswer extends Row {
  quotes: (QuoteRow & { leadLeast: number | null; leadMost: number | null })[];
  orders: { id: string }[];
}

interface Page<T> {
  pageInfo: { hasNextPage: boolean; endCursor: string | null };
  edges: { node: T }[];
}

async function rowsOf(address: string): Promise<{ restoration: string; parts: Row[]; quotes: QuoteRow[] }> {
  const { restorations } = await asked<{ restorations: Page<{ id: string; parts: { totalCount: number } }> }>(
    address,
    RESTORATIONS,
  );
  const [largest] = restorations.edges.toSorted((a, b) => b.node.parts.totalCount - a.node.parts.totalCount);
  const id = largest!.node.id;
  const parts: PartAnswer[] = [];
  for (let after: string | null = null, more = true; more; ) {
    const page: Page<PartAnswer> = (
      await asked<{ restoration: { parts: Page<PartAnswer> } }>(address, ROWS, { id, after })
    ).restoration.parts;
    parts.push(...page.edges.map(({ node }) => node));
    ({ endCursor: after, hasNextPage: more } = page.pageInfo);
  }
  // A quote that is ordered, or whose lead time has three figures, is not for a single figure to change.
  const quotes = parts
    .filter(({ orders }) => orders.length === 0)
    .flatMap((part) => part.quotes)
    .filter(({ leadLeast, leadMost }) => leadLeast === null && leadMost === null);
  return { restoration: id, parts, quotes };
}

const asked = <T>(address: string, query: string, variables = {}): Promise<T> =>
  answered<T>(address, JSON.stringify({ query, variables }));

async function answered<T>(address: string, body: string): Promise<T> {
  const response = await fetch(`${address}/graphql`, {
    method: "POST",
    headers: { "content-type": "application/json" },
    body,
  });
  const { data, errors } = (await response.json()) as { data?: T; errors?: unknown };
  if (!data || errors !== undefined) throw new Error(`The demo answered ${JSON.stringify(errors)}`);
  return data;
}
