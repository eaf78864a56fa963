import { readFileSync } from "node:fs";
import currencyCodes from "currency-codes";
import { describe, expect, it } from "vitest";
import { formatAmount, parseAmount } from "../../server/engine/money/money.ts";

const { source, decimals } = JSON.parse(readFileSync(new URL("fixtures/currencies.json", import.meta.url), "utf8")) as {
  source: string;
  decimals: Record<string, number | null>;
};
const coined = Object.entries(decimals).filter((entry): entry is [string, number] => entry[1] !== null);
const uncoined = Object.keys(decimals).filter((code) => decimals[code] === null);

describe(`decimals of currencies, ${source}`, () => {
  it.each([
    [0, ["JPY", "ISK", "KRW"]],
    [2, ["GBP", "EUR", "USD", "AUD", "CHF", "NOK", "SEK"]],
    [3, ["BHD", "KWD", "TND"]],
    [4, ["CLF", "UYW"]],
  ])("are %i for %s", (count, codes) => {
    for (const code of codes) expect([code, decimals[code]]).toEqual([code, count]);
  });

  it("are the same in the library for every current currency that has any, but for two of 2025 that it has not", () => {
    expect(coined.length).toBe(165);
    const differing = coined.filter(([code, count]) => currencyCodes.code(code)?.digits !== count);
    // The library holds the tables published on 2024-06-25: no Caribbean guilder, no Arab accounting dinar.
    expect(differing.map(([code]) => [code, currencyCodes.code(code)])).toEqual([
      ["XAD", undefined],
      ["XCG", undefined],
    ]);
  });

  it("are none for funds, metals and codes of no currency; the library calls them zero", () => {
    expect(uncoined.sort()).toEqual(
      ["XAG", "XAU", "XBA", "XBB", "XBC", "XBD", "XDR", "XPD", "XPT", "XSU", "XTS", "XUA", "XXX"].sort(),
    );
    for (const code of uncoined) expect([code, currencyCodes.code(code)?.digits]).toEqual([code, 0]);
  });

  it("are kept by the library for three currencies withdrawn since 2021, in which old amounts may stand", () =>
    expect(currencyCodes.codes().filter((code) => !(code in decimals))).toEqual(["ANG", "BGN", "CUC"]));

  it("give the smallest coin of each currency, which reads back as itself", () => {
    for (const [code, count] of coined) {
      const coin = formatAmount(1, count);
      expect([code, coin]).toEqual([code, count === 0 ? "1" : `0.${"0".repeat(count - 1)}1`]);
      expect(parseAmount(coin, count)).toBe(1);
    }
  });
});
