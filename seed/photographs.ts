/** The demo's photographs: the pictures that draw/ made, and what is said of each. */
import { readFile } from "node:fs/promises";
import path from "node:path";
import { storePhotograph } from "../server/io/photographFile.ts";
import type { Store } from "../server/store/client.ts";

type Subject = "part" | "quote" | "operation" | "snag";

/** One of the subjects names what it is of, by its code. */
type DrawnPhotograph = Partial<Record<Subject, string>> & {
  file: string;
  caption: string;
  /** When it was taken and added; where it is an old one, only added. */
  day: string;
  old?: true;
  forOwner: boolean;
};

/** Adds the photographs of a file, whose pictures lie in `pictures`, to a restoration that has its parts; `folder` is where photographs are kept. */
export async function seedPhotographs(
  store: Store,
  restorationId: string,
  accountId: string,
  { file, pictures, folder }: { file: string; pictures: string; folder: string },
): Promise<void> {
  const drawn = JSON.parse(await readFile(file, "utf8")) as DrawnPhotograph[];
  const asked = { where: { restorationId }, select: { id: true, code: true } };
  const [part, quote, operation, snag] = await Promise.all([
    store.part.findMany(asked),
    store.quote.findMany(asked),
    store.operation.findMany(asked),
    store.snag.findMany(asked),
  ]);
  const rows = { part, quote, operation, snag };
  const idOf = (subject: Subject, code: string | undefined) =>
    code === undefined ? null : rows[subject].find((row) => row.code === code)!.id;
  const stored = await Promise.all(
    drawn.map(async (one) => storePhotograph(folder, await readFile(path.join(pictures, one.file)))),
  );
  await store.photograph.createMany({
    data: drawn.map(({ caption, day, old, forOwner, ...one }, i) => ({
      ...stored[i]!,
      restorationId,
      partId: idOf("part", one.part),
      quoteId: idOf("quote", one.quote),
      operationId: idOf("operation", one.operation),
      snagId: idOf("snag", one.snag),
      caption,
      takenOn: old ? null : day,
      forOwner,
      accountId,
      addedAt: new Date(`${day}T16:00:00Z`),
    })),
  });
}
