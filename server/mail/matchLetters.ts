/** What one member writes to another about a match, as a letter too: to the other's e-mail, where mail is set up. */
import type { Store } from "../store/client.ts";
import { type ClubEntry, onClubCommit } from "../store/clubJournal.ts";
import { codeInWords } from "../store/codes.ts";
import { type Mailer, type Message, ownMailer } from "./mailer.ts";

export interface LettersOptions {
  mailer?: Mailer;
  /** Where people reach the server, with no slash at the end; links are left out where it is not given. */
  address?: string | undefined;
  /** Told what could not be sent; the message stands in the club all the same. */
  onProblem?: (message: string) => void;
}

/** Sends a letter for each message from now on. `stop` waits for those on their way. */
export function keepWriting(
  store: Store,
  { mailer = ownMailer(), address, onProblem = console.error }: LettersOptions = {},
): { stop(): Promise<void> } {
  const onTheirWay = new Set<Promise<void>>();
  if (mailer.sends)
    onClubCommit(store, (entries) => {
      for (const id of written(entries)) {
        const sending = letterOf(store, id, address)
          .then(async (letter) => {
            if (letter !== null) await mailer.send(letter);
          })
          .catch((error: unknown) =>
            onProblem(
              `A message about a match was not mailed: ${error instanceof Error ? error.message : String(error)}`,
            ),
          );
        onTheirWay.add(sending);
        void sending.then(() => onTheirWay.delete(sending));
      }
    });
  return { stop: async () => void (await Promise.all(onTheirWay)) };
}

/** Ids of the messages that a change added. */
const written = (entries: readonly ClubEntry[]): string[] =>
  entries.flatMap(({ table, id, before, after }) =>
    table === "matchMessage" && before === null && after !== null ? [id] : [],
  );

/** The letter to the one who did not write it; null where that account has no e-mail or no part in the club any more, or where anything of it is withheld. */
async function letterOf(store: Store, id: string, address: string | undefined): Promise<Message | null> {
  const member = { include: { account: { select: { email: true, closed: true, role: true } } } };
  const message = await store.matchMessage.findUniqueOrThrow({
    where: { id },
    include: {
      member: true,
      correspondence: { include: { want: { include: { member } }, spare: { include: { member } } } },
    },
  });
  const { want, spare } = message.correspondence;
  const other = message.memberId === want.memberId ? spare.member : want.member;
  const { email, closed, role } = other.account;
  const withheld = [message, want, spare].some(({ withheldReason }) => withheldReason !== null);
  if (email === null || closed || role === "OWNER" || withheld) return null;
  const link = address === undefined ? "" : `\n\n${address}/club/matches/${want.id}/${spare.id}`;
  return {
    to: email,
    id: `match-${id}`,
    subject: `${message.member.name} writes about ${spare.part}`.replace(/\s+/g, " "),
    text: `${message.member.name} writes about ${codeInWords("spare", spare.code)} ${spare.part} and ${codeInWords("wanted", want.code)} ${want.part}:\n\n${message.text}\n\nAnswer in the club; an answer to this letter reaches nobody.${link}\n`,
  };
}
