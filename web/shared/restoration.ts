import { createContext, useContext } from "react";

/** The restoration whose sheets are shown: what every screen under /restorations/:restoration needs of it. */
export interface RestorationInView {
  id: string;
  machine: string;
  owner: string;
  currency: string;
  /** ISO 4217 exponent of the currency. */
  decimals: number;
  /** The day of the figures that is set for the whole shop; null where it follows today. */
  figuresFor: string | null;
  /** The day that figures are for: that one, else today in the workshop's time zone. */
  day: string;
  /** IANA name of the zone in which its workshop's days begin; absent from what an earlier version kept on this device. */
  timeZone?: string;
  targetDate: string | null;
  targetName: string;
  confidence: number | null;
  trades: readonly string[];
  groups: readonly string[];
  /** The currencies that things are paid in, for money fields and choices. */
  currencies: readonly { code: string; name: string; decimals: number; used?: boolean }[];
}

export const RestorationContext = createContext<RestorationInView | null>(null);

/** The restoration in view. Only under the Frame, which shows nothing else until it is loaded. */
export function useRestoration(): RestorationInView {
  const restoration = useContext(RestorationContext);
  if (!restoration) throw new Error("useRestoration stands outside of a Frame.");
  return restoration;
}
