/** What each noun of the club may hold: the same for the API's inputs and the files. */
import { z } from "zod";
import type { Fault } from "./fault.ts";
import { CONDITIONS, faultsBy, kinds, PROVENANCES } from "./rules.ts";

const { text, line, named, told, code, whole, date, choice, currency, minor, leadDays, yesOrNo, fail, rising } = kinds;

const percent = () => whole(0, 100);
/** What is looked for, offered or made, and by what it is known. */
const wording = { code: code(), part: named(200), machine: line(200), references: text(500) };

export const clubRules = {
  club: z.object({
    name: named(200),
    currency: currency(),
    figuresFor: date().nullable(),
    entriesPerDay: whole(1, 10_000),
  }),
  clubMember: z.object({ name: named(100), joinedOn: date() }),
  clubSource: z.object({
    ...wording,
    supplier: named(200),
    country: z
      .string()
      .refine(
        (c) => c === "" || /^[A-Z]{2}$/.test(c),
        fail("NOT_A_CHOICE", "must be an ISO 3166 two-letter country code such as GB"),
      ),
    provenance: choice(PROVENANCES),
    priceMinor: minor().nullable(),
    currency: currency(),
    failed: yesOrNo(),
    notes: text(2000),
    sharedOn: date(),
  }),
  want: z.object({
    ...wording,
    quantity: whole(1, 10_000),
    needBy: date().nullable(),
    notes: text(2000),
    met: yesOrNo(),
  }),
  spare: z.object({
    ...wording,
    provenance: choice(PROVENANCES),
    condition: choice(CONDITIONS),
    quantity: whole(1, 10_000),
    priceMinor: minor().nullable(),
    currency: currency(),
    notes: text(2000),
    gone: yesOrNo(),
  }),
  matchMessage: z.object({ text: told(4000) }),
  batch: z
    .object({
      ...wording,
      maker: named(200),
      basis: choice(["DRAWING", "SAMPLE"]),
      currency: currency(),
      patternMinor: minor(),
      setUpMinor: minor(),
      unitMinor: minor(),
      sparePercent: percent(),
      smallest: whole(1, 10_000),
      most: whole(1, 10_000).nullable(),
      depositPercent: percent(),
      begunOn: date(),
      closesOn: date(),
      leadDays: leadDays(),
      notes: text(5000),
    })
    .superRefine(rising(["begunOn", "closesOn"], "must not be before the day it began"))
    .superRefine(rising(["smallest", "most"], "must not be less than the smallest size")),
  batchPrice: z.object({ size: whole(1, 10_000), unitMinor: minor() }),
  batchStage: z.object({ title: named(200), percent: whole(1, 100) }),
  nameDown: z.object({ quantity: whole(1, 10_000) }),
  clubComplaint: z.object({ reason: told(1000) }),
} as const;

export type ClubNoun = keyof typeof clubRules;

/** Every fault of one row of the club; empty when it may be stored. */
export const clubFaultsOf = (
  noun: ClubNoun,
  row: Record<string, unknown>,
  at: { file?: string; row?: string } = {},
): Fault[] => faultsBy(clubRules[noun], row, at);
