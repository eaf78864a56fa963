import { useEffect, useState } from "react";
import type { RestorationInView } from "../shared/restoration.ts";
import { keptSheet } from "./device.ts";

/** The head kept on this device with the field sheet of a restoration, where it is wanted; else null. */
export function useKeptHead(restoration: string, wanted: boolean): RestorationInView | null {
  const [head, setHead] = useState<RestorationInView | null>(null);
  useEffect(() => {
    if (!wanted) return;
    let left = false;
    void keptSheet(restoration).then((sheet) => !left && setHead(sheet?.head ?? null));
    return () => {
      left = true;
    };
  }, [restoration, wanted]);
  return head?.id === restoration ? head : null;
}
