import { useEffect, useState } from "react";
import { keptHours } from "../hours/kept.ts";
import type { RestorationInView } from "../shared/restoration.ts";
import { keptSheet } from "./device.ts";

/** The head kept on this device with the field sheet or the hours of a restoration, where it is wanted; else null. */
export function useKeptHead(restoration: string, wanted: boolean): RestorationInView | null {
  const [head, setHead] = useState<RestorationInView | null>(null);
  useEffect(() => {
    if (!wanted) return;
    let left = false;
    const read = async () => (await keptSheet(restoration)) ?? (await keptHours(restoration));
    void read().then((sheet) => !left && setHead(sheet?.head ?? null));
    return () => {
      left = true;
    };
  }, [restoration, wanted]);
  return head?.id === restoration ? head : null;
}
