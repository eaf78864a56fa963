/** The club in view: what each of its sheets needs of it. */
import { createContext, useContext } from "react";
import { graphql } from "../client.ts";

export const ClubQuery = graphql(`
  query Club {
    club { id name currency day entriesPerDay memberName steward memberCount sourceCount }
    currencies { code name decimals used }
  }
`);

export interface ClubInView {
  id: string;
  name: string;
  currency: string;
  /** ISO 4217 exponent of the currency. */
  decimals: number;
  /** The day its figures are for. */
  day: string;
  entriesPerDay: number;
  /** The asker's own name there. */
  memberName: string;
  /** May withhold rows and answer complaints. */
  steward: boolean;
  /** Has a workshop whose parts and suppliers can be taken from and to. */
  restorer: boolean;
  memberCount: number;
  sourceCount: number;
  currencies: readonly { code: string; name: string; decimals: number; used?: boolean }[];
}

export const ClubContext = createContext<ClubInView | null>(null);

/** The club in view. Only under the ClubFrame, which shows nothing else until it is loaded and joined. */
export function useClub(): ClubInView {
  const club = useContext(ClubContext);
  if (!club) throw new Error("useClub stands outside of a ClubFrame.");
  return club;
}
