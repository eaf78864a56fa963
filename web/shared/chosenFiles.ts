import { zip } from "fflate";

/** What the server takes at most. */
export const MOST_BYTES = 64 * 1024 * 1024;

/** A file chosen from disk, with its path inside of the folder it came in. */
export interface ChosenFile {
  path: string;
  file: File;
}

const known = (path: string): boolean => /\.(csv|json)$/i.test(path) && !/(^|\/)(\.|__MACOSX\/)/.test(path);
const isZip = (path: string): boolean => /\.zip$/i.test(path);

/** Files of an input: those of a folder carry their path. */
export function ofInput(files: FileList): ChosenFile[] {
  return [...files].map((file) => ({ path: file.webkitRelativePath || file.name, file }));
}

/** What was dropped, folders walked through. */
export async function ofDrop(transfer: DataTransfer): Promise<ChosenFile[]> {
  const entries = [...transfer.items].map((item) => item.webkitGetAsEntry?.() ?? null);
  if (entries.every((entry) => entry === null)) return [...transfer.files].map((file) => ({ path: file.name, file }));
  const found: ChosenFile[] = [];
  for (const entry of entries) if (entry) await walk(entry, "", found);
  return found;
}

async function walk(entry: FileSystemEntry, under: string, found: ChosenFile[]): Promise<void> {
  const path = `${under}${entry.name}`;
  if (entry.isFile) {
    const file = await new Promise<File>((resolve, reject) => (entry as FileSystemFileEntry).file(resolve, reject));
    found.push({ path, file });
    return;
  }
  const reader = (entry as FileSystemDirectoryEntry).createReader();
  for (;;) {
    const some = await new Promise<FileSystemEntry[]>((resolve, reject) => reader.readEntries(resolve, reject));
    if (some.length === 0) return;
    for (const one of some) await walk(one, `${path}/`, found);
  }
}

/** What of the choice is sent: one zip as it is, or all CSV and JSON files; and what is left aside. Or why nothing can be. */
export function sortedOut(chosen: readonly ChosenFile[]): {
  send: readonly ChosenFile[];
  aside: readonly string[];
  fault: string | null;
} {
  const zips = chosen.filter((one) => isZip(one.path));
  const files = chosen.filter((one) => known(one.path));
  const aside = chosen.filter((one) => !isZip(one.path) && !known(one.path)).map((one) => one.path);
  const bytes = (many: readonly ChosenFile[]) => many.reduce((sum, one) => sum + one.file.size, 0);
  if (zips.length > 1) return { send: zips, aside, fault: "Choose one zip at a time." };
  if (zips.length === 1 && files.length > 0)
    return { send: chosen, aside, fault: "Choose a zip, or loose files, not both together." };
  const send = zips.length === 1 ? zips : files;
  if (send.length === 0)
    return { send, aside, fault: chosen.length > 0 ? "There is no zip, CSV or JSON file in the choice." : null };
  if (zips.length === 1 && bytes(zips) > MOST_BYTES)
    return { send, aside, fault: "The zip is larger than 64 MiB, the most that is read at once." };
  return { send, aside, fault: null };
}

/** One zip of what is sent. Loose files are packed here, so that only one thing travels. */
export async function packed(send: readonly ChosenFile[]): Promise<Uint8Array<ArrayBuffer>> {
  const [only] = send;
  if (only && send.length === 1 && isZip(only.path)) return new Uint8Array(await only.file.arrayBuffer());
  const contents: Record<string, Uint8Array> = {};
  for (const one of send) contents[one.path] = new Uint8Array(await one.file.arrayBuffer());
  return new Promise((resolve, reject) =>
    zip(contents, { level: 6 }, (problem, bytes) =>
      problem ? reject(problem) : resolve(bytes as Uint8Array<ArrayBuffer>),
    ),
  );
}
