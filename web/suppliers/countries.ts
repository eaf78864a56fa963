/** Countries by name, as this browser knows them. */

const names = new Intl.DisplayNames("en-GB", { type: "region", fallback: "none" });

/** Codes with a name that are no countries of ISO 3166-1: reserved, grouped or made up. */
const NOT_COUNTRIES = new Set("AC CP CQ DG EA EU EZ IC QO TA UN XA XB ZZ".split(" "));

/** "Germany" for DE; a code without a name as it is; nothing for nothing. */
export function countryName(code: string): string {
  if (!/^[A-Z]{2}$/.test(code)) return code;
  return names.of(code) ?? code;
}

let all: readonly { value: string; label: string }[] | undefined;

/** Every country that has a name and is not an old code of another, by name. */
export function countryChoices(): readonly { value: string; label: string }[] {
  if (all) return all;
  const letters = Array.from({ length: 26 }, (_, place) => String.fromCharCode(65 + place));
  const collator = new Intl.Collator("en-GB");
  all = letters
    .flatMap((one) => letters.map((other) => one + other))
    .filter((code) => !NOT_COUNTRIES.has(code) && names.of(code) && new Intl.Locale(`und-${code}`).region === code)
    .map((code) => ({ value: code, label: countryName(code) }))
    .sort((a, b) => collator.compare(a.label, b.label));
  return all;
}
