/** The summary of the day, by a mail server on this machine: what it says to whom, once a day, and again where it was not taken. */
import { once } from "node:events";
import type { AddressInfo } from "node:net";
import { type ParsedMail, simpleParser } from "mailparser";
import { SMTPServer } from "smtp-server";
import { afterAll, afterEach, beforeAll, describe, expect, test } from "vitest";
import { beginSignIn } from "../../server/access/signIn.ts";
import { addDays } from "../../server/engine/time/date.ts";
import { sendSummaries } from "../../server/mail/dailySummaries.ts";
import { type Mailer, mailerOf, ownMailer } from "../../server/mail/mailer.ts";
import { keepDay } from "../../server/plan/days/dayFigures.ts";
import { daySummary } from "../../server/plan/days/daySummary.ts";
import { startServer, type TestServer } from "../support/server.ts";
import { lookAt, otherShop, type Shop, saved, shop } from "./shop.ts";

let server: TestServer;
let rows: Shop;
let smtp: SMTPServer;
let mailer: Mailer;
let restorer: string;
let owner: string;

interface Received {
  mail: ParsedMail;
  from: string;
  to: string[];
}
/** Figures of a day on which the target has these odds. */
const oddsOf = (targetOdds: number) => async () => ({
  evenOdds: "2027-03-01",
  fourInFive: "2027-03-20",
  targetOdds,
  costMinor: null,
});
let received: Received[] = [];
let refuses = false;

beforeAll(async () => {
  server = await startServer();
  rows = await shop(server);
  smtp = new SMTPServer({
    authOptional: true,
    disabledCommands: ["STARTTLS"],
    onData(stream, session, done) {
      simpleParser(stream).then((mail) => {
        if (refuses) return done(new Error("The box is full"));
        const { mailFrom, rcptTo } = session.envelope;
        received.push({ mail, from: mailFrom ? mailFrom.address : "", to: rcptTo.map(({ address }) => address) });
        done();
      }, done);
    },
  });
  const listening = smtp.listen(0, "127.0.0.1");
  await once(listening, "listening");
  const { port } = listening.address() as AddressInfo;
  mailer = mailerOf({
    LASTBOLT_SMTP_URL: `smtp://127.0.0.1:${port}`,
    LASTBOLT_MAIL_FROM: "Quill Lane <bench@quill.example>",
  });
  const { store } = server;
  const { workshopId } = await store.restoration.findUniqueOrThrow({ where: { id: rows.restoration } });
  const account = await store.account.findFirstOrThrow({ where: { workshopId } });
  restorer = account.id;
  await store.account.update({ where: { id: restorer }, data: { email: "bench@quill.example", dailySummary: true } });
  const person = { workshopId, name: "Odile Farrant", role: "OWNER", email: "odile@farrant.example" } as const;
  owner = (await store.account.create({ data: { ...person, dailySummary: true } })).id;
  await store.restoration.update({ where: { id: rows.restoration }, data: { ownerAccountId: owner } });
  await keepDay(store, rows.restoration, oddsOf(0.8));
  await store.order.create({
    data: {
      restorationId: rows.restoration,
      partId: rows.drum,
      quoteId: (
        await store.quote.create({
          data: {
            restorationId: rows.restoration,
            partId: rows.drum,
            supplierId: rows.foundry,
            code: "Q009",
            provenance: "REMADE",
            unitPriceMinor: 1,
            currency: "GBP",
            leadDays: 1,
          },
        })
      ).id,
      code: "O001",
      placedOn: "2026-12-01",
      promisedOn: "2027-01-02",
      totalMinor: 1,
      currency: "GBP",
    },
  });
  await store.part.update({ where: { id: rows.drum }, data: { stateOnHand: "MISSING" } });
  await store.decision.create({
    data: {
      restorationId: rows.restoration,
      kind: "SUM",
      title: "A new <casing>",
      amountMinor: 64_000,
      currency: "GBP",
      askedOn: "2027-01-03",
      askedById: restorer,
    },
  });
  // Rows that are written past the journal: what was kept of the plan no longer holds.
  await store.restoration.update({ where: { id: rows.restoration }, data: { planRevision: { increment: 1 } } });
  await lookAt(server, "2027-01-05");
  await keepDay(store, rows.restoration, oddsOf(0.6));
});
afterEach(() => {
  received = [];
  refuses = false;
});
afterAll(async () => {
  mailer.close();
  await new Promise<void>((resolve) => smtp.close(resolve));
  await server.close();
});

const problems: string[] = [];
const send = (day: string, by: Mailer = mailer) =>
  sendSummaries(server.store, {
    mailer: by,
    day,
    address: "https://bench.example",
    onProblem: (message) => problems.push(message),
  });
const to = (address: string) => received.find((one) => one.to.includes(address))!.mail;

describe("the summary of the day", () => {
  test("tells the restorer what to order, what is late, what waits, and how the end moved", async () => {
    expect(await send("2027-01-05")).toBe(2);
    const mail = to("bench@quill.example");
    expect(mail.from?.value).toEqual([{ name: "Quill Lane", address: "bench@quill.example" }]);
    expect(mail.subject).toBe("1913 Tallow & Wren: 1 late, 1 waiting for an answer");
    expect(mail.text).toContain("The Midsummer Concours is on 19 Jun 2027.");
    expect(mail.text).toMatch(/Gearbox casing: choose a quote and order by \d+ \w+ 2027, tomorrow/);
    expect(mail.text).toMatch(/Brake drum: Lower Mill Foundry promised it for 2 Jan 2027, 3 days late/);
    expect(mail.text).toContain("A new <casing>: £640.00, asked on 3 Jan 2027, 2 days ago");
    expect(mail.text).toContain("The odds of keeping the target are 3 in 5; on 4 Jan 2027 they were 4 in 5.");
    expect(mail.text).toMatch(/The end has (not moved|moved \d+ days? (later|earlier)) since 4 Jan 2027\./);
    expect(mail.text).toContain(`https://bench.example/restorations/${rows.restoration}/today`);
    // The same in HTML, with what people typed as text.
    expect(mail.html).toContain("A new &lt;casing&gt;");
    expect(mail.html).toContain("<h2>To order</h2>");
    expect(mail.html).not.toContain("<casing>");
  });

  test("says of a restoration in which nothing is entered that there is no date, and not that it has not moved", async () => {
    const { store } = server;
    const { id } = await saved(server, "Restoration", { machine: "Stationary engine", targetDate: "2027-06-19" });
    await store.dayFigures.create({
      data: {
        restorationId: id,
        day: "2027-01-04",
        planRevision: 0,
        open: false,
        completion: "2027-02-01",
        currency: "GBP",
        holdUps: "[]",
      },
    });
    const { sentence, since } = await daySummary(store, id, false, "2027-01-05");
    expect(sentence).toContain(
      "No work and no part is entered yet, so there is no date to tell. Begin with the first of either, on Work or on Parts.",
    );
    expect(since).toBe("");
    await store.restoration.delete({ where: { id } });
  });

  test("shows the owner what waits for an answer first, and not what the shop has to order", async () => {
    await server.store.account.update({ where: { id: owner }, data: { summarySent: null } });
    expect(await send("2027-01-05")).toBe(1);
    const text = to("odile@farrant.example").text!;
    expect(text).toContain("Waits for your answer");
    expect(text.indexOf("Waits for your answer")).toBeLessThan(text.indexOf("To chase"));
    expect(text).not.toContain("To order");
    expect(text).not.toContain("choose a quote");
  });

  test("tells of hunts whose stop date is near or past, with what is ordered instead", async () => {
    const { store } = server;
    const own = { restorationId: rows.restoration };
    const figuresFor = "2027-01-05";
    const hunted = async (
      name: string,
      stopDate: string | null,
      more: { fallback?: boolean; stateOnHand?: "IN_HAND" } = {},
    ) => {
      const part = await store.part.create({
        data: { ...own, code: name, name, stateOnHand: more.stateOnHand ?? "MISSING" },
      });
      if (more.fallback) {
        const { id: fallbackQuoteId } = await store.quote.create({
          data: {
            ...own,
            partId: part.id,
            supplierId: rows.foundry,
            code: `F ${name}`,
            provenance: "REMADE",
            unitPriceMinor: 100,
            currency: "GBP",
            leadDays: 40,
          },
        });
        await store.part.update({ where: { id: part.id }, data: { fallbackQuoteId } });
      }
      await store.hunt.create({
        data: { ...own, partId: part.id, begunOn: "2026-10-01", chancePerWeek: 0.1, currency: "GBP", stopDate },
      });
      return part.id;
    };
    const parts = [
      await hunted("Horn", addDays(figuresFor, 14), { fallback: true }),
      await hunted("Bulb", addDays(figuresFor, -3), { fallback: true }),
      await hunted("Sight glass", figuresFor),
      await hunted("Oiler", addDays(figuresFor, 15), { fallback: true }),
      await hunted("Badge", null, { fallback: true }),
      await hunted("Tap", addDays(figuresFor, 2), { stateOnHand: "IN_HAND" }),
    ];
    const summary = await daySummary(store, rows.restoration, false, figuresFor);
    const section = summary.sections.find(({ kind }) => kind === "HUNT")!;
    expect(section.lines).toMatchObject([
      {
        subject: "Bulb",
        words:
          "the hunt was to stop on 2 Jan 2027, 3 days ago: order its fallback from Lower Mill Foundry, 40 days from the order, or give it a later stop date",
        due: "2027-01-02",
        daysLeft: -3,
        pressing: true,
        partId: parts[1],
        snagId: null,
      },
      {
        subject: "Sight glass",
        words: "the hunt stops on 5 Jan 2027, today; nothing is chosen to order instead",
        pressing: true,
        partId: parts[2],
        snagId: null,
      },
      {
        subject: "Horn",
        words:
          "the hunt stops on 19 Jan 2027, in 14 days; then order its fallback from Lower Mill Foundry, 40 days from the order",
        pressing: false,
        partId: parts[0],
        snagId: null,
      },
    ]);
    const theirs = await daySummary(store, rows.restoration, true);
    expect(theirs.sections.map(({ kind }) => kind)).toEqual(["DECISION", "LATE"]);
    await store.account.update({ where: { id: restorer }, data: { summarySent: null } });
    expect(await send("2027-01-05")).toBe(1);
    const mail = to("bench@quill.example");
    expect(mail.subject).toContain("2 to decide on hunting");
    expect(mail.text).toContain("! Bulb: the hunt was to stop on 2 Jan 2027");
    expect(mail.html).toContain("<h2>Hunts to decide on</h2>");
    await store.part.deleteMany({ where: { id: { in: parts } } });
  });

  test("comes once a day, also after a restart, and again the next day", async () => {
    expect(await send("2027-01-05")).toBe(0);
    expect(received).toEqual([]);
    expect(await send("2027-01-06")).toBe(2);
    const ids = received.map(({ mail }) => mail.messageId).sort();
    expect(ids).toEqual([`<summary-${owner}-2027-01-06@lastbolt>`, `<summary-${restorer}-2027-01-06@lastbolt>`].sort());
  });

  test("that is not taken is told and sent the next time", async () => {
    refuses = true;
    expect(await send("2027-01-07")).toBe(0);
    expect(problems.at(-1)).toMatch(/was not sent, and will be tried again: .*The box is full/);
    refuses = false;
    expect(await send("2027-01-07")).toBe(2);
    const away = mailerOf({ LASTBOLT_SMTP_URL: "smtp://127.0.0.1:1", LASTBOLT_MAIL_FROM: "bench@quill.example" });
    expect(await send("2027-01-08", away)).toBe(0);
    expect(problems.at(-1)).toContain("ECONNREFUSED");
    expect(await send("2027-01-08")).toBe(2);
  });

  test("goes to nobody who did not ask, is closed, or belongs to another workshop", async () => {
    const theirs = await otherShop(server.store);
    await server.store.account.update({
      where: { id: theirs.account! },
      data: { email: "next@door.example", dailySummary: true },
    });
    await server.store.account.update({ where: { id: owner }, data: { closed: true } });
    await server.store.account.update({ where: { id: restorer }, data: { dailySummary: false } });
    expect(await send("2027-01-09")).toBe(1);
    expect(received.map((one) => one.to)).toEqual([["next@door.example"]]);
    expect(received[0]!.mail.text).not.toContain("Tallow");
    await server.store.account.update({ where: { id: owner }, data: { closed: false } });
    await server.store.account.update({ where: { id: theirs.account! }, data: { closed: true } });
  });
});

describe("where mail is not set up", () => {
  test("nothing is sent, nobody is marked, and the page is told", async () => {
    expect(await ownMailer().send({ to: "bench@quill.example", subject: "A match", text: "Someone has one." })).toBe(
      false,
    );
    expect(await send("2027-02-01", mailerOf({ LASTBOLT_SMTP_URL: "smtp://127.0.0.1:1" }))).toBe(0);
    const { summarySent } = await server.store.account.findUniqueOrThrow({ where: { id: owner } });
    expect(summarySent).not.toBe("2027-02-01");
    const { data } = await server.query<{ me: { mailIsSent: boolean } }>("{ me { mailIsSent dailySummary } }");
    expect(data?.me.mailIsSent).toBe(false);
  });
});

test("one message of another kind arrives as it was written", async () => {
  const text = "Rookery Light Cars has a pair.\n\nÇa va – £40?";
  expect(await mailer.send({ to: "odile@farrant.example", subject: "A match: Ça va", text })).toBe(true);
  const [{ mail, from }] = received as [Received];
  expect([mail.subject, mail.text?.trim(), from]).toEqual(["A match: Ça va", text, "bench@quill.example"]);
  // What would smuggle in another receiver is one address that does not exist, or is refused.
  await mailer
    .send({ to: "a@b.example\r\nBcc: thief@c.example", subject: "x\r\nBcc: thief@c.example", text })
    .catch(() => {});
  expect(received.flatMap((one) => one.to)).not.toContain("thief@c.example");
});

describe("the switch", () => {
  const SAVE =
    "mutation ($on: Boolean!) { saveAccount(input: { dailySummary: $on }) { __typename ... on InvalidInput { faults { field } } } }";
  test("is the account's own, and needs an e-mail", async () => {
    const account = await server.store.account.findUniqueOrThrow({ where: { id: owner } });
    const cookie = `lastbolt=${await beginSignIn(server.store, account, "", "Signed in")}`;
    for (const on of [false, true]) {
      await server.query(SAVE, { on }, cookie);
      const { data } = await server.query<{ me: { dailySummary: boolean } }>("{ me { dailySummary } }", {}, cookie);
      expect(data?.me.dailySummary).toBe(on);
    }
    await server.store.account.update({ where: { id: restorer }, data: { email: null } });
    const { data } = await server.query<{ saveAccount: { faults: { field: string }[] } }>(SAVE, { on: true });
    expect(data?.saveAccount.faults).toMatchObject([{ field: "email" }]);
  });

  test("stands beside the same summary in the page", async () => {
    const { data, errors } = await server.query<{
      restoration: { daySummary: { sections: { kind: string; lines: { edges: { node: { subject: string } }[] } }[] } };
    }>(
      "query ($id: ID!) { restoration(id: $id) { daySummary { day sentence since sections { kind lines { edges { node { subject words part { id } } } } } } } }",
      { id: rows.restoration },
    );
    expect(errors).toBeUndefined();
    const said = data!.restoration.daySummary.sections.map(({ kind, lines }) => [
      kind,
      lines.edges.map(({ node }) => node.subject),
    ]);
    expect(said).toEqual([
      ["ORDER", ["Gearbox casing"]],
      ["HUNT", []],
      ["LATE", ["Brake drum"]],
      ["DECISION", ["A new <casing>"]],
    ]);
  });
});
