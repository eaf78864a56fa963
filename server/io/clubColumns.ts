/**
 * What stands in the club's files: every table, its columns, and how each is read and written.
 * Members are named by the name that the others see, orders and parts by the codes of the member's own workshop.
 */
import type { ClubNoun } from "../store/clubRules.ts";
import type { ClubTable } from "../store/clubTables.ts";
import { CONDITIONS, PROVENANCES } from "../store/rules.ts";
import { type Column, capitals, choice, date, may, money, must, text, whole, yesNo } from "./columns.ts";

export interface ClubFile {
  file: string;
  table: ClubTable;
  noun: ClubNoun;
  /** Fields that tell one row from another. */
  key: readonly string[];
  says: string;
  columns: readonly Column[];
}

const member = may("member", "member", text, null, "Whose it is; blank is whoever imports.");
const wording = [
  must("part", "part", text, "What it is."),
  may("machine", "machine", text, "", "What it belongs to."),
  may("references", "references", text, "", "Reference numbers, separated by commas."),
];
const currency = may("currency", "currency", capitals, null, "ISO 4217 code; blank is the club's.");
const notes = may("notes", "notes", text, "", "Anything else worth knowing.");
const enteredOn = may(
  "entered_on",
  "enteredOn",
  date,
  null,
  "The day. Kept where a steward imports; otherwise it is today.",
);

/** In the order in which they are read and written: a table comes after those that it names. */
export const CLUB_FILES: readonly ClubFile[] = [
  {
    file: "sources.csv",
    table: "clubSource",
    noun: "clubSource",
    key: ["code"],
    says: "Who made a part for a member.",
    columns: [
      may("source", "code", text, null, "Its code; blank makes a new one."),
      member,
      must("supplier", "supplier", text, "Who made it."),
      may("country", "country", capitals, "", "Two letters, ISO 3166, such as GB."),
      ...wording,
      must("provenance", "provenance", choice(PROVENANCES), "What kind of part it is."),
      may("price", "priceMinor", money, null, "Paid for one; blank is not shared."),
      currency,
      may(
        "order",
        "order",
        text,
        null,
        "The sharer's own order for it; how it came and fitted is read from that order.",
      ),
      may("failed", "failed", yesNo, false, "Yes where the maker never delivered what was ordered."),
      may("shared_on", "sharedOn", date, null, "The day. Kept where a steward imports; otherwise it is today."),
      notes,
    ],
  },
  {
    file: "wants.csv",
    table: "want",
    noun: "want",
    key: ["code"],
    says: "Parts that members look for.",
    columns: [
      may("want", "code", text, null, "Its code; blank makes a new one."),
      member,
      may("own_part", "ownPart", text, null, "Code of the part in the member's own restoration that it is for."),
      ...wording,
      may("quantity", "quantity", whole, 1, "How many."),
      may("need_by", "needBy", date, null, "The day by which it is needed."),
      may("met", "met", yesNo, false, "Yes once it is found, or no longer wanted."),
      enteredOn,
      notes,
    ],
  },
  {
    file: "spares.csv",
    table: "spare",
    noun: "spare",
    key: ["code"],
    says: "Parts that members can let go.",
    columns: [
      may("spare", "code", text, null, "Its code; blank makes a new one."),
      member,
      ...wording,
      may("provenance", "provenance", choice(PROVENANCES), "ORIGINAL", "What kind of part it is."),
      may("condition", "condition", choice(CONDITIONS), "SERVICEABLE", "How it is offered."),
      may("quantity", "quantity", whole, 1, "How many."),
      may("price", "priceMinor", money, null, "Asked for one; blank is to be agreed."),
      currency,
      may("gone", "gone", yesNo, false, "Yes once it is let go."),
      enteredOn,
      notes,
    ],
  },
  {
    file: "batches.csv",
    table: "batch",
    noun: "batch",
    key: ["code"],
    says: "Reproduction runs that members put their names down for.",
    columns: [
      must("batch", "code", text, "Its code, the same in every file."),
      { ...member, says: "Who gathers the names; blank is whoever imports." },
      ...wording,
      must("maker", "maker", text, "Who makes it."),
      may("basis", "basis", choice(["DRAWING", "SAMPLE"]), "SAMPLE", "What it is made from."),
      currency,
      may("pattern", "patternMinor", money, 0, "Pattern or tooling, paid once."),
      may("set_up", "setUpMinor", money, 0, "Setting up for the run, paid once."),
      may("unit", "unitMinor", money, 0, "Each piece cast, spare castings included."),
      may("spare_percent", "sparePercent", whole, 10, "Spare castings for every hundred pieces."),
      must("smallest", "smallest", whole, "Fewest pieces with which it goes ahead."),
      may("most", "most", whole, null, "Most pieces that the maker takes on; blank is no limit."),
      may("deposit_percent", "depositPercent", whole, 30, "Deposit, in per cent of the price at the smallest size."),
      may("begun_on", "begunOn", date, null, "The day it began. Kept where a steward imports; otherwise it is today."),
      must("closes_on", "closesOn", date, "The last day for names."),
      must("lead_days", "leadDays", whole, "Calendar days from the closing date to the parts."),
      notes,
    ],
  },
  {
    file: "batch_prices.csv",
    table: "batchPrice",
    noun: "batchPrice",
    key: ["batch", "size"],
    says: "The maker's own price for a piece from a size on; without any, the whole cost is shared.",
    columns: [
      must("batch", "batch", text, "The batch."),
      must("size", "size", whole, "From how many pieces on."),
      must("unit_price", "unitMinor", money, "For one piece, in the batch's currency."),
    ],
  },
  {
    file: "batch_stages.csv",
    table: "batchStage",
    noun: "batchStage",
    key: ["batch", "title"],
    says: "What is due after the deposit, and when.",
    columns: [
      must("batch", "batch", text, "The batch."),
      must("stage", "title", text, "When it is due."),
      must("percent", "percent", whole, "Its share of what is left after the deposit; 100 in all."),
    ],
  },
  {
    file: "names_down.csv",
    table: "nameDown",
    noun: "nameDown",
    key: ["batch", "member"],
    says: "For how many pieces of a batch each member's name is down.",
    columns: [
      must("batch", "batch", text, "The batch."),
      must("member", "member", text, "Whose name is down."),
      must("quantity", "quantity", whole, "How many."),
      may("put_down_on", "putDownOn", date, null, "The day."),
    ],
  },
];

export const CLUB_FILE_NAMES: readonly string[] = CLUB_FILES.map(({ file }) => file);

/** The statement of one table. */
export function clubFileOf(table: ClubTable): ClubFile {
  const found = CLUB_FILES.find((one) => one.table === table);
  if (found === undefined) throw new RangeError(`${table} stands in no file`);
  return found;
}
