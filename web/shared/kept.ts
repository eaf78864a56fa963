import { useState } from "react";

/**
 * The newest data that came, under a key: kept while it is read anew, and when reading it anew fails, so that a sheet
 * with something typed on it is not taken away.
 */
export function useKept<Data>(data: Data | undefined, key: string): Data | undefined {
  const [kept, setKept] = useState<{ key: string; data: Data } | null>(null);
  if (data !== undefined && (kept?.key !== key || kept.data !== data)) setKept({ key, data });
  return data ?? (kept?.key === key ? kept.data : undefined);
}
