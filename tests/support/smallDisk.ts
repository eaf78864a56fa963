/** A data folder in which there is little room, and into which more can be let while a server runs in it. */
import { type ChildProcess, spawnSync } from "node:child_process";
import { cp, mkdir, mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import path from "node:path";

export interface SmallDisk {
  folder: string;
  /** What a process must be started by to find little room, where the folder itself does not see to it. */
  by: readonly string[];
  /** What a change is told that finds no room. */
  code: "DISK_FULL" | "DISK_FAILED";
  giveRoom(process: ChildProcess): void;
  /** A folder that can be read alone: this one, where it can be made so. */
  readOnly(): string;
  remove(): Promise<void>;
}

const ran = (command: string, ...args: string[]): boolean => spawnSync(command, args).status === 0;

/**
 * A file system in memory of so many bytes, where this account may mount one; else a process whose files may not be
 * longer (Linux), which fails its writes in the same places. Holds a copy of `content`.
 */
export async function smallDisk(content: string, bytes: number): Promise<SmallDisk> {
  const outside = await mkdtemp(path.join(tmpdir(), "lastbolt-disk-"));
  const folder = path.join(outside, "data");
  await mkdir(folder);
  const mounted = ran("mount", "-t", "tmpfs", "-o", `size=${bytes}`, "tmpfs", folder);
  await cp(content, folder, { recursive: true });
  return {
    folder,
    by: mounted ? [] : ["sh", "-c", `trap '' XFSZ; exec prlimit --fsize=${bytes >> 1}: "$@"`, "sh"],
    code: mounted ? "DISK_FULL" : "DISK_FAILED",
    giveRoom({ pid }) {
      if (mounted) ran("mount", "-o", "remount,size=200m", folder);
      else ran("prlimit", "--pid", String(pid), "--fsize=unlimited:");
    },
    readOnly() {
      if (mounted) ran("mount", "-o", "remount,ro", folder);
      // Root may write whatever the modes say, but not there.
      else if (process.getuid?.() === 0) return "/sys/lastbolt";
      else ran("chmod", "-R", "a-w", folder);
      return folder;
    },
    async remove() {
      if (mounted) ran("umount", "-l", folder);
      else ran("chmod", "-R", "u+w", folder);
      await rm(outside, { recursive: true, force: true });
    },
  };
}
