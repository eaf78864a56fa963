/** A message about a match as a letter: to the other member, once, where mail is set up; and in the club whatever the mail does. */
import { afterAll, beforeAll, beforeEach, expect, test } from "vitest";
import type { Mailer, Message } from "../../server/mail/mailer.ts";
import { keepWriting } from "../../server/mail/matchLetters.ts";
import { type TestStore, testStore } from "../support/store.ts";
import { clubOn, type Person } from "./clubPeople.ts";

let open: TestStore;
let looking: Person;
let having: Person;
let about: { want: string; spare: string };
let letters: { stop(): Promise<void> };
let sent: Message[] = [];
let refuses = false;
const problems: string[] = [];

const mailer: Mailer = {
  sends: true,
  send: async (message) => {
    if (refuses) throw new Error("The box is full");
    sent.push(message);
    return true;
  },
  close: () => {},
};
const write = async (who: Person, text: string) => {
  const saved = await who.call("writeAboutMatch", "$want: ID!, $spare: ID!, $text: String!", { ...about, text });
  expect(saved.__typename).toBe("ClubSaved");
  await letters.stop();
  return saved;
};
const email = (who: Person, address: string | null) =>
  open.store.account.update({ where: { id: who.account }, data: { email: address } });

beforeAll(async () => {
  open = await testStore();
  const club = await clubOn(open.store);
  looking = await club.person("Quill Lane", "RESTORER");
  having = await club.person("H. Drangevold, member 207");
  letters = keepWriting(open.store, {
    mailer,
    address: "https://register.example",
    onProblem: (message) => problems.push(message),
  });
  const row = { part: "Belt rim", machine: "Tallow & Wren" };
  const want = await looking.call("saveWant", "$input: WantInput!", { input: row });
  const spare = await having.call("saveSpare", "$input: SpareInput!", { input: row });
  about = { want: want.id, spare: spare.id };
  await email(having, "drangevold@sheds.example");
});
afterAll(() => open.close());
beforeEach(() => {
  sent = [];
  refuses = false;
});

test("goes to the other member alone, with the words, the rows and a way back", async () => {
  const { id } = await write(looking, "Is the bead true?");
  expect(sent).toHaveLength(1);
  expect(sent[0]).toMatchObject({
    to: "drangevold@sheds.example",
    id: `match-${id}`,
    subject: "Quill Lane writes about Belt rim",
  });
  expect(sent[0]!.text).toContain("Is the bead true?");
  expect(sent[0]!.text).toContain(`https://register.example/club/matches/${about.want}/${about.spare}`);
});

test("is not sent to a member without an e-mail, nor to an account that is closed", async () => {
  await write(having, "Within a twentieth.");
  expect(sent).toEqual([]);
  await open.store.account.update({ where: { id: having.account }, data: { closed: true } });
  await write(looking, "Could you put it aside?");
  expect(sent).toEqual([]);
  await open.store.account.update({ where: { id: having.account }, data: { closed: false } });
});

test("is not sent to an account that looks on as an owner by now: it has no part in the club", async () => {
  await open.store.account.update({ where: { id: having.account }, data: { role: "OWNER" } });
  await write(looking, "Could it be posted?");
  expect(sent).toEqual([]);
  await open.store.account.update({ where: { id: having.account }, data: { role: "MEMBER" } });
});

test("stands in the club though the mail server does not take it, and the problem is told", async () => {
  refuses = true;
  const { id } = await write(looking, "Until Friday?");
  expect(problems).toEqual(["A message about a match was not mailed: The box is full"]);
  expect(await open.store.matchMessage.count({ where: { id } })).toBe(1);
});

test("is sent for a message alone, and for nothing that is withheld or changed later", async () => {
  const { id } = await write(looking, "By Monday?");
  expect(sent).toHaveLength(1);
  await open.store.clubMember.update({ where: { accountId: looking.account }, data: { steward: true } });
  const withheld = await looking.call("withhold", "$kind: ClubRowKind!, $id: ID!, $reason: String", {
    kind: "MESSAGE",
    id,
    reason: "Wrong",
  });
  expect(withheld.__typename).toBe("ClubSaved");
  await looking.call("saveWant", "$input: WantInput!", { input: { id: about.want, revision: 1, notes: "Soon" } });
  await letters.stop();
  expect(sent).toHaveLength(1);
});
