/** A small club for the tests of the API: two workshops and members of the club alone, each asking for themselves. */
import type { DocumentNode } from "graphql";
import { graphql, parse } from "graphql";
import { Context } from "../../server/api/core/context.ts";
import { schema } from "../../server/api/schema.ts";
import type { Role } from "../../server/generated/prisma/enums.ts";
import type { Store } from "../../server/store/client.ts";
import { RESULT, type Result } from "./shop.ts";

export const CLUB_RESULT = `${RESULT} ... on ClubSaved { id revision clubChange { id summary } }`;

export interface Person {
  account: string;
  workshop: string;
  member: string;
  ask<T = Record<string, never>>(document: string, variables?: Record<string, unknown>): Promise<T>;
  /** Calls a mutation that answers a SaveResult; `args` as in "$batch: ID!, $quantity: Int!". */
  call(
    mutation: string,
    args: string,
    variables: Record<string, unknown>,
  ): Promise<Result & { clubChange: { id: string; summary: string } }>;
}

export interface ClubInTest {
  id: string;
  /** Adds somebody to the club. Restorers get a workshop of their own. */
  person(name: string, role?: Role, steward?: boolean): Promise<Person>;
}

/** Begins a club on a store whose figures are for 23 November 2026. */
export async function clubOn(store: Store, entriesPerDay = 200): Promise<ClubInTest> {
  const { id } = await store.club.create({
    data: { name: "Hedgerow Light Car Register", currency: "GBP", figuresFor: "2026-11-23", entriesPerDay },
  });
  return {
    id,
    async person(name, role = "MEMBER", steward = false) {
      const { id: workshopId } = await store.workshop.create({ data: { name: `${name}'s` } });
      const { id: accountId } = await store.account.create({ data: { workshopId, name, role, admin: steward } });
      const { id: member } = await store.clubMember.create({
        data: { clubId: id, accountId, name, joinedOn: "2024-01-01", steward },
      });
      const viewer = { accountId, workshopId, role, admin: steward, everyJob: false };
      const run = async <T>(document: DocumentNode | string, variables: Record<string, unknown> = {}): Promise<T> => {
        const source = typeof document === "string" ? document : "";
        parse(source);
        const contextValue = new Context(store, viewer);
        const { data, errors } = await graphql({ schema, source, variableValues: variables, contextValue });
        if (errors !== undefined) throw errors[0]!.originalError ?? errors[0]!;
        return data as T;
      };
      return {
        account: accountId,
        workshop: workshopId,
        member,
        ask: run,
        async call(mutation, args, variables) {
          const passed = args.split(",").map((arg) => /\$(\w+)/.exec(arg)![1]!);
          const data = await run<Record<string, never>>(
            `mutation (${args}) { ${mutation}(${passed.map((name) => `${name}: $${name}`).join(", ")}) { ${CLUB_RESULT} } }`,
            variables,
          );
          return data[mutation]!;
        },
      };
    },
  };
}

export interface OrderInTest {
  supplier: string;
  state?: "PLACED" | "ARRIVED" | "ACCEPTED" | "SENT_BACK";
  placedOn?: string;
  promisedOn?: string;
  arrivedOn?: string | null;
  fitRating?: number | null;
}

/** An order of a restorer's own workshop: accepted in time and fitted as it came, unless another is asked for. */
export async function orderOf(store: Store, who: Person, order: OrderInTest): Promise<string> {
  const { supplier: name, ...rest } = order;
  const { id: restorationId } = await store.restoration.create({
    data: { workshopId: who.workshop, machine: "1912 Wraxholme" },
  });
  const code = restorationId.slice(-8);
  const { id: supplierId } = await store.supplier.create({ data: { workshopId: who.workshop, code, name } });
  const { id: partId } = await store.part.create({ data: { restorationId, code: "P1", name: "Crankpin" } });
  const price = { currency: "GBP", unitPriceMinor: 14_800, leadDays: 32, provenance: "REMADE" as const };
  const { id: quoteId } = await store.quote.create({
    data: { restorationId, partId, supplierId, code: "Q1", ...price },
  });
  const { id } = await store.order.create({
    data: {
      restorationId,
      partId,
      quoteId,
      code: `O-${code}`,
      state: "ACCEPTED",
      placedOn: "2026-06-01",
      promisedOn: "2026-07-03",
      arrivedOn: "2026-07-01",
      fitRating: 5,
      totalMinor: 14_800,
      currency: "GBP",
      ...rest,
    },
  });
  return id;
}
