/** Codes, by which people know the rows of a register: how they are said, sorted and made. */

/** How a code is said: a number of a register stands with its noun, "quote 70"; what somebody typed says itself, "ENG-1". */
export const codeInWords = (noun: string, code: string): string => (isNumber(code) ? `${noun} ${code}` : code);

const isNumber = (code: string): boolean => /^\d+$/.test(code);

/** The number that is asked for by its register: "70" of "quote 70" and of "Quote 70"; undefined for other words. */
export function numberAsked(noun: string, words: string): string | undefined {
  const asked = words.trim().toLowerCase();
  const number = asked.startsWith(`${noun} `) ? asked.slice(noun.length).trim() : "";
  return isNumber(number) ? number : undefined;
}

/**
 * What a code is sorted by, as text: each number in it stands after the count of its digits, so that 2 comes before 10,
 * and ENG-9 before ENG-10. Two codes that differ by zeros before a number alone have the same; the codes then decide.
 */
export const codeOrder = (code: string): string =>
  code.replace(/\d+/g, (digits) => {
    const number = digits.replace(/^0+(?=\d)/, "");
    return String(number.length).padStart(2, "0") + number;
  });

/** The order of codes everywhere, the same as {@link BY_CODE} of the store. */
export function compareCodes(one: string, other: string): number {
  if (one === other) return 0;
  const [first, second] = [codeOrder(one), codeOrder(other)];
  if (first !== second) return first < second ? -1 : 1;
  return one < other ? -1 : 1;
}

/** Rows of one register in the order of their codes. */
export const BY_CODE = [{ codeOrder: "asc" as const }, { code: "asc" as const }];

/** The same by the code of a row that they point at. */
export const byCodeOf = <Field extends string>(field: Field) =>
  BY_CODE.map((order) => ({ [field]: order })) as { [F in Field]: (typeof BY_CODE)[number] }[];

/** What is about to be written, with what its code is sorted by. */
export function withCodeOrder<Data>(data: Data): Data {
  const { code } = data as { code?: unknown };
  return typeof code === "string" ? { ...data, codeOrder: codeOrder(code) } : data;
}

/** Reads rows of one table; what {@link nextCode} needs of it. */
export interface Register {
  findMany(query: {
    where: object;
    orderBy?: object;
    take?: number;
    select?: object;
  }): Promise<Readonly<Record<string, unknown>>[]>;
}

/** Rows that are read first for the highest number, twice as many each time after. */
const SOME = 20;

/**
 * The next number of a register: one more than the highest there is.
 * @param where the rows of the register
 * @param lead what stands before the number, as in "ENG-1"; nothing before a plain number
 * @param earlier letters with which an earlier version began such codes: a number behind one of them counts too
 */
export async function nextCode(register: Register, where: object, { lead = "", earlier = "" } = {}): Promise<string> {
  let highest = 0;
  for (const begins of [lead, ...(lead === "" ? earlier : "")])
    highest = Math.max(highest, await highestNumber(register, where, begins));
  // Longer numbers are not counted, so that the highest that is may have one after it already.
  while (highest >= MOST_NUMBER && (await taken(register, where, `${lead}${highest + 1}`))) highest++;
  return `${lead}${highest + 1}`;
}

const taken = async (register: Register, where: object, code: string): Promise<boolean> =>
  (await register.findMany({ where: { ...where, code }, take: 1, select: { code: true } })).length > 0;

/**
 * A code where it is free, else the next free one of its kind: 74 of 70, ENG-9 of ENG-4, FORK-1 of FORK.
 * @param kept codes of rows that come back beside it
 */
export async function freeCode(
  register: Register,
  where: object,
  code: string,
  kept: ReadonlySet<string> = new Set(),
): Promise<string> {
  if (!(await taken(register, where, code))) return code;
  const [, lead = ""] = /^(.*?)\d{1,9}$/s.exec(code) ?? [null, `${code}-`];
  let next = await nextCode(register, where, { lead });
  while (kept.has(next) || (await taken(register, where, next))) next = `${lead}${Number(next.slice(lead.length)) + 1}`;
  return next;
}

/** What is said where a row that comes back could not have its own code. */
export const backAs = (noun: string, code: string, now: string): string =>
  `; ${codeInWords(noun, code)} is back as ${codeInWords(noun, now)}, since ${code} was given again`;

/** A summary without what {@link backAs} says. */
export const withoutBackAs = (summary: string): string =>
  summary.replace(/; [^;]+ is back as [^;]+, since [^;]+ was given again/g, "");

/** What somebody typed may be longer: it is a word to the register then. */
const MOST_NUMBER = 999_999_999;

async function highestNumber(register: Register, where: object, lead: string): Promise<number> {
  const order = codeOrder(lead);
  let below = `${order}:`;
  for (let take = SOME; ; take *= 2) {
    const among = { ...where, codeOrder: { gte: `${order}0`, lt: below } };
    const select = { code: true, codeOrder: true };
    const rows = await register.findMany({ where: among, orderBy: { codeOrder: "desc" }, take, select });
    for (const { code } of rows) {
      const number = String(code).startsWith(lead) ? String(code).slice(lead.length) : "";
      if (/^\d{1,9}$/.test(number)) return Number(number);
    }
    if (rows.length < take) return 0;
    below = String(rows.at(-1)!["codeOrder"]);
  }
}

/** What stands before the numbers of a group's work: "ENG-" of Engine, "BODY-" of Body; nothing where there is no group. */
export function leadOf(group: string): string {
  const [word] = /\p{L}+/u.exec(group) ?? [""];
  return word === "" ? "" : `${(word.length > 4 ? word.slice(0, 3) : word).toUpperCase()}-`;
}

/** What the codes of new rows are made by, of each register that takes several at once. */
export const MADE_BY = {
  supplier: () => ({ earlier: "S" }),
  operation: ({ group, trade }: Readonly<Record<string, unknown>>) => ({
    lead: leadOf(String(group || trade || "")),
    earlier: "W",
  }),
  part: () => ({ earlier: "P" }),
  quote: () => ({ earlier: "Q" }),
};

/** The next numbers of a register whose codes are at hand, one after the other, each as {@link nextCode} makes it. */
export class CodesToCome {
  private readonly taken: ReadonlySet<string>;
  private readonly highest = new Map<string, number>();

  constructor(codes: Iterable<string>) {
    this.taken = new Set(codes);
  }

  next({ lead = "", earlier = "" } = {}): string {
    let number = this.highest.get(lead) ?? this.highestOf([lead, ...(lead === "" ? earlier : "")]);
    do number += 1;
    while (this.taken.has(`${lead}${number}`));
    this.highest.set(lead, number);
    return `${lead}${number}`;
  }

  private highestOf(leads: readonly string[]): number {
    let highest = 0;
    for (const code of this.taken)
      for (const lead of leads) {
        const number = code.startsWith(lead) ? code.slice(lead.length) : "";
        if (/^\d{1,9}$/.test(number)) highest = Math.max(highest, Number(number));
      }
    return highest;
  }
}
