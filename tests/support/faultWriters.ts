/** Four who write at once to a server that may die at any moment: parts, photographs, the club's sources, the ledger. */
import { createHash } from "node:crypto";
import sharp from "sharp";

/** The rows that each of them writes. */
export const WRITTEN = ["Part", "Photograph", "ClubSource", "Payment"] as const;
export type Written = (typeof WRITTEN)[number];

/** What the server said it has kept. */
export interface Acknowledged {
  table: Written;
  id: string;
  /** The entry of the journal beside it. */
  change: string;
  /** What stands in its notes; null for a photograph. */
  notes: string | null;
  /** What was sent to stand there next and never answered: it may be there, or not. */
  sent: string | null;
}

/** Where they write. */
export interface Places {
  restoration: string;
  part: string;
  order: string;
  paidOn: string;
}

/** Writers over many lives of one server: what was acknowledged is kept here, by the id of its row. */
export class Writers {
  readonly acknowledged = new Map<string, Acknowledged>();
  private count = 0;
  /** Told once so many more photographs were acknowledged. */
  private awaited: { further: number; tell: () => void } | null = null;
  /** The part that its writer is at, and its revision. */
  private part: { id: string; revision: number } | null = null;

  constructor(private readonly places: Places) {}

  /** Writes until the server is gone. Throws where it answers that it did not keep something. */
  async writeTo(address: string): Promise<void> {
    this.part = null;
    const writers = [this.savePart, this.sendPhotograph, this.shareSource, this.pay];
    await Promise.all(
      writers.map(async (write) => {
        for (;;)
          try {
            await write.call(this, address);
          } catch (error) {
            // That is how a request ends whose server is gone; whatever else happens is a mistake of this bench.
            if (error instanceof TypeError && error.cause !== undefined) return;
            throw error;
          }
      }),
    );
  }

  /** Waits until so many more photographs were acknowledged: they take longest, and the others write meanwhile. */
  afterPhotographs(further: number): Promise<void> {
    return new Promise((tell) => {
      this.awaited = { further, tell };
    });
  }

  private keep(row: Acknowledged): void {
    this.acknowledged.set(row.id, row);
    if (row.table === "Photograph" && this.awaited !== null && --this.awaited.further === 0) this.awaited.tell();
  }

  private async savePart(address: string): Promise<void> {
    const notes = this.token();
    const known = this.part;
    const before = known && this.acknowledged.get(known.id)!;
    if (before !== null) before.sent = notes;
    const input = known ?? { restoration: this.places.restoration, name: `Bracket ${notes}` };
    const { id, revision, change } = await mutate(address, "savePart", "PartInput", { ...input, notes });
    this.keep({ table: "Part", id, change, notes, sent: null });
    // Each is changed twice after it was added, then the next one comes.
    this.part = revision < 3 ? { id, revision } : null;
  }

  private async sendPhotograph(address: string): Promise<void> {
    const picture = await noise(this.token());
    const response = await fetch(`${address}/photographs?part=${this.places.part}`, { method: "POST", body: picture });
    const told = await response.text();
    if (response.status !== 201) throw new NotKept(`${response.status} ${told}`);
    const { id, change } = JSON.parse(told) as { id: string; change: { id: string } };
    this.keep({ table: "Photograph", id, change: change.id, notes: null, sent: null });
  }

  private async shareSource(address: string): Promise<void> {
    const notes = this.token();
    const input = { supplier: "Lower Mill Foundry", part: "Brake drum", provenance: "REMADE", notes };
    const { id, change } = await mutate(address, "saveClubSource", "ClubSourceInput", input);
    this.keep({ table: "ClubSource", id, change, notes, sent: null });
  }

  private async pay(address: string): Promise<void> {
    const notes = this.token();
    const { order, paidOn } = this.places;
    const input = { order, kind: "PART_PAYMENT", paidOn, amountMinor: 1, notes };
    const { id, change } = await mutate(address, "savePayment", "PaymentInput", input);
    this.keep({ table: "Payment", id, change, notes, sent: null });
  }

  private token(): string {
    return `written ${++this.count}`;
  }
}

/** The server is there and says that it did not keep something: then what is measured here is something else. */
export class NotKept extends Error {}

interface Saved {
  id: string;
  revision: number;
  change: string;
}

async function mutate(address: string, name: string, type: string, input: object): Promise<Saved> {
  const query = `mutation ($input: ${type}!) { ${name}(input: $input) { __typename
    ... on Saved { id revision change { id } } ... on ClubSaved { id revision clubChange { id } } } }`;
  const response = await fetch(`${address}/graphql`, {
    method: "POST",
    headers: { "content-type": "application/json" },
    body: JSON.stringify({ query, variables: { input } }),
  });
  const told = await response.text();
  const saved = (JSON.parse(told) as { data?: Record<string, SavedAnswer> }).data?.[name];
  const change = (saved?.change ?? saved?.clubChange)?.id;
  if (saved === undefined || change === undefined) throw new NotKept(told);
  return { id: saved.id, revision: saved.revision, change };
}

interface SavedAnswer {
  id: string;
  revision: number;
  change?: { id: string };
  clubChange?: { id: string };
}

/** A small picture that is unlike that of any other token. */
async function noise(token: string): Promise<Uint8Array<ArrayBuffer>> {
  const blocks = Array.from({ length: 48 }, (_, i) => createHash("sha512").update(`${token} ${i}`).digest());
  const raw = { width: 32, height: 32, channels: 3 } as const;
  return new Uint8Array(await sharp(Buffer.concat(blocks), { raw }).png().toBuffer());
}
