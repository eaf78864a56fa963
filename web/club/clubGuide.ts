/** The club's files and their columns, as the screen tells of them; * marks a column that must be there. */
export const CLUB_GUIDE: readonly { file: string; says: string; columns: string }[] = [
  {
    file: "sources.csv",
    says: "Who made a part for you, what it cost, and the order behind it by its code.",
    columns:
      "source, member, supplier*, country, part*, machine, references, provenance*, price, currency, order, failed, shared_on, notes",
  },
  {
    file: "wants.csv",
    says: "Parts that you look for; own_part is the code of the part of your restoration.",
    columns: "want, member, own_part, part*, machine, references, quantity, need_by, met, posted_on, notes",
  },
  {
    file: "spares.csv",
    says: "Parts that you can let go. A blank price is to be agreed.",
    columns:
      "spare, member, part*, machine, references, provenance, condition, quantity, price, currency, gone, posted_on, notes",
  },
  {
    file: "batches.csv",
    says: "Batches that you gather pledges for. Percentages are whole numbers.",
    columns:
      "batch*, member, part*, machine, references, maker*, basis, currency, pattern, set_up, unit, spare_percent, smallest*, most, deposit_percent, opened_on, closes_on*, lead_days*, notes",
  },
  {
    file: "batch_prices.csv",
    says: "The maker's own price for a piece from a size on. Its batch must be in batches.csv.",
    columns: "batch*, size*, unit_price*",
  },
  {
    file: "batch_stages.csv",
    says: "What is due after the deposit, and when; 100 per cent in all. Its batch must be in batches.csv.",
    columns: "batch*, stage*, percent*",
  },
  {
    file: "pledges.csv",
    says: "Who pledged to which batch. It is exported alone: a pledge is each member's own to make.",
    columns: "batch*, member*, quantity*, pledged_on",
  },
];
