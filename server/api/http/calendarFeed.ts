/** Calendars that other programs read by a secret link; only the hash of the secret is kept. */
import { Router } from "express";
import { canWrite, mayWrite, own, restorationsOf } from "../../access/rules.ts";
import { hashOf, newSecret } from "../../access/secret.ts";
import { asViewer } from "../../access/viewer.ts";
import { iCalendar } from "../../io/iCalendar.ts";
import { calendarEvents } from "../../plan/days/calendarEvents.ts";
import type { Store } from "../../store/client.ts";
import { NotFound } from "../../store/fault.ts";
import { builder } from "../core/builder.ts";
import type { Context } from "../core/context.ts";
import { Account } from "../people/account.ts";

const CalendarFeed = builder.prismaObject("CalendarFeed", {
  fields: (t) => ({
    id: t.exposeID("id"),
    madeAt: t.expose("madeAt", { type: "DateTime" }),
    readAt: t.expose("readAt", { type: "DateTime", nullable: true, description: "When a program last read it." }),
    account: t.field({
      type: Account,
      resolve: (feed, _args, context, info) => context.row("account", feed.accountId, info),
    }),
  }),
});

interface Made {
  feed: { id: string };
  path: string;
}

const CalendarFeedMade = builder.objectRef<Made>("CalendarFeedMade").implement({
  fields: (t) => ({
    path: t.exposeString("path", {
      description: "Under the server's address. It holds the secret, which is not told again.",
    }),
    feed: t.prismaField({
      type: CalendarFeed,
      resolve: (query, { feed }, _args, { store }) =>
        store.calendarFeed.findUniqueOrThrow({ ...query, where: { id: feed.id } }),
    }),
  }),
});

builder.prismaObjectFields("Restoration", (t) => ({
  calendarFeeds: t.relation("feeds", {
    description: "At most 20.",
    query: { orderBy: [{ madeAt: "asc" }, { id: "asc" }] },
  }),
}));

/** Feeds of one restoration at most: each program needs one. */
const MOST_FEEDS = 20;

builder.mutationFields((t) => ({
  makeCalendarFeed: t.field({
    type: CalendarFeedMade,
    description: "A new secret link. The oldest goes where there are 20.",
    args: { restoration: t.arg.id({ required: true }) },
    resolve: (_root, { restoration }, context) => makeFeed(context, restoration),
  }),
  revokeCalendarFeed: t.id({
    description: "The link leads nowhere from now on. It cannot be brought back: make another.",
    args: { feed: t.arg.id({ required: true }) },
    resolve: (_root, { feed }, context) => revokeFeed(context, feed),
  }),
}));

async function makeFeed({ store, viewer }: Context, id: string): Promise<Made> {
  mayWrite(viewer);
  const restoration = await own(viewer, store, "restoration", id);
  const secret = newSecret();
  const feed = await store.$transaction(async (tx) => {
    const where = { restorationId: restoration.id };
    const old = await tx.calendarFeed.findMany({ where, orderBy: { madeAt: "desc" }, skip: MOST_FEEDS - 1 });
    await tx.calendarFeed.deleteMany({ where: { id: { in: old.map((one) => one.id) } } });
    return tx.calendarFeed.create({
      data: { restorationId: restoration.id, accountId: viewer.accountId, secretHash: hashOf(secret) },
    });
  });
  return { feed, path: `/calendar/${secret}.ics` };
}

async function revokeFeed({ store, viewer }: Context, id: string): Promise<string> {
  mayWrite(viewer);
  const { count } = await store.calendarFeed.deleteMany({ where: { id, restoration: restorationsOf(viewer) } });
  if (count === 0) throw new NotFound("calendar link");
  return id;
}

/**
 * The feed of a secret, while whoever made it may make one still: the link tells no more than its maker may read today.
 * Null otherwise.
 */
async function feedOf(store: Store, secret: string) {
  const feed = await store.calendarFeed.findUnique({
    where: { secretHash: hashOf(secret), account: { closed: false } },
    include: { account: true },
  });
  if (feed === null) return null;
  const maker = asViewer(feed.account);
  if (!canWrite(maker)) return null;
  const restoration = await store.restoration.findFirst({
    where: { AND: [restorationsOf(maker)], id: feed.restorationId },
    select: { id: true, machine: true },
  });
  return restoration === null ? null : { id: feed.id, restoration };
}

/** GET /calendar/SECRET.ics: whoever has the secret may read; any other address holds nothing. */
export function calendarRoutes(store: Store): Router {
  const router = Router();
  router.get("/calendar/:name", async (request, response) => {
    response.set("Cache-Control", "private, no-store").set("Referrer-Policy", "no-referrer");
    const secret = /^([\w-]{43})\.ics$/.exec(request.params.name)?.[1];
    const feed = secret === undefined ? null : await feedOf(store, secret);
    if (feed === null) {
      response.status(404).json({ code: "NOT_FOUND", message: "There is no calendar at this address." });
      return;
    }
    const now = new Date();
    const events = await calendarEvents(store, feed.restoration.id);
    await store.calendarFeed.updateMany({ where: { id: feed.id }, data: { readAt: now } });
    response.type("text/calendar; charset=utf-8").send(iCalendar(feed.restoration.machine, events, now));
  });
  return router;
}
