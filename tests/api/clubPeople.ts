/** A small club for the tests of the API: two workshops and members of the club alone, each asking for themselves. */
import type { DocumentNode } from "graphql";
import { graphql, parse } from "graphql";
import { Context } from "../../server/api/context.ts";
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
  person(name: string, role?: Role, admin?: boolean): Promise<Person>;
}

/** Begins a club on a store whose figures stand for 23 November 2026. */
export async function clubOn(store: Store, postsPerDay = 200): Promise<ClubInTest> {
  const { id } = await store.club.create({
    data: { name: "Hedgerow Light Car Register", currency: "GBP", dataDate: "2026-11-23", postsPerDay },
  });
  return {
    id,
    async person(name, role = "MEMBER", admin = false) {
      const { id: workshopId } = await store.workshop.create({ data: { name: `${name}'s` } });
      const { id: accountId } = await store.account.create({ data: { workshopId, name, role, admin } });
      const { id: member } = await store.clubMember.create({
        data: { clubId: id, accountId, name, joinedOn: "2024-01-01" },
      });
      const viewer = { accountId, workshopId, role, admin, everyJob: false };
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
