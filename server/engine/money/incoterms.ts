/**
 * Incoterms 2020 (International Chamber of Commerce), as far as they decide who pays what. The table is from memory and
 * agrees with the published comparison charts; the text of a rule is what binds the parties.
 */

export type Incoterm = "EXW" | "FCA" | "FAS" | "FOB" | "CFR" | "CIF" | "CPT" | "CIP" | "DAP" | "DPU" | "DDP";

export type Party = "BUYER" | "SELLER";

export interface IncotermRule {
  name: string;
  /** Who pays the main carriage. */
  carriage: Party;
  /** Who pays carriage from the port or place of arrival to the shop. */
  onward: Party;
  /**
   * Who pays for insurance on the way: the seller buys it for the buyer under CIF and CIP, and bears the risk himself
   * under the D rules; otherwise it is the buyer's own affair.
   */
  insurance: Party;
  /** Who clears the goods for import and pays duty and tax there. */
  importDuty: Party;
}

const rule = (name: string, carriage: Party, onward: Party, insurance: Party, importDuty: Party): IncotermRule => ({
  name,
  carriage,
  onward,
  insurance,
  importDuty,
});

export const INCOTERMS_2020: Readonly<Record<Incoterm, IncotermRule>> = {
  EXW: rule("ex works", "BUYER", "BUYER", "BUYER", "BUYER"),
  FCA: rule("free carrier", "BUYER", "BUYER", "BUYER", "BUYER"),
  FAS: rule("free alongside ship", "BUYER", "BUYER", "BUYER", "BUYER"),
  FOB: rule("free on board", "BUYER", "BUYER", "BUYER", "BUYER"),
  CFR: rule("cost and freight", "SELLER", "BUYER", "BUYER", "BUYER"),
  CIF: rule("cost, insurance and freight", "SELLER", "BUYER", "SELLER", "BUYER"),
  CPT: rule("carriage paid to", "SELLER", "BUYER", "BUYER", "BUYER"),
  CIP: rule("carriage and insurance paid to", "SELLER", "BUYER", "SELLER", "BUYER"),
  DAP: rule("delivered at place", "SELLER", "SELLER", "SELLER", "BUYER"),
  DPU: rule("delivered at place unloaded", "SELLER", "SELLER", "SELLER", "BUYER"),
  DDP: rule("delivered duty paid", "SELLER", "SELLER", "SELLER", "SELLER"),
};
