import { codeInWords } from "../shared/Code.tsx";
import { money } from "../shared/format.ts";
import { SUPPLIER_KIND } from "../shared/words.ts";
import { countryName } from "./countries.ts";

interface Amount {
  minor: number;
  currency: string;
  decimals: number;
}

interface SupplierFactsProps {
  supplier: {
    code: string;
    kind: keyof typeof SUPPLIER_KIND;
    country: string;
    email: string;
    phone: string;
    website: string;
    carriage: Amount;
    minimum: Amount;
    notes: string;
  };
}

/** A web address that a browser may follow; null for anything else. */
function webAddress(text: string): string | null {
  const whole = /^[a-z][a-z0-9+.-]*:/i.test(text) ? text : `https://${text}`;
  try {
    const { protocol, href } = new URL(whole);
    return protocol === "https:" || protocol === "http:" ? href : null;
  } catch {
    return null;
  }
}

/** How to reach a supplier. */
export function SupplierFacts({ supplier }: SupplierFactsProps) {
  const { code, kind, country, email, phone, website, carriage, minimum, notes } = supplier;
  const web = website ? webAddress(website) : null;
  return (
    <>
      <dl className="facts">
        <dt>Code</dt>
        <dd className="code">{codeInWords("supplier", code)}</dd>
        <dt>Kind</dt>
        <dd>{SUPPLIER_KIND[kind]}</dd>
        <dt>Country</dt>
        <dd>{countryName(country) || "not noted"}</dd>
        <dt>Telephone</dt>
        <dd>{phone ? <a href={`tel:${phone.replace(/[^\d+]/g, "")}`}>{phone}</a> : "not noted"}</dd>
        <dt>E-mail</dt>
        <dd>{email ? <a href={`mailto:${email}`}>{email}</a> : "not noted"}</dd>
        <dt>Web address</dt>
        <dd>
          {web ? (
            <a href={web} rel="noreferrer noopener" target="_blank">
              {website}
            </a>
          ) : (
            website || "not noted"
          )}
        </dd>
        {(carriage.minor > 0 || minimum.minor > 0) && (
          <>
            <dt>On one order</dt>
            <dd>
              {carriage.minor > 0 && (
                <>
                  <span className="money">{money(carriage)}</span> carriage
                </>
              )}
              {carriage.minor > 0 && minimum.minor > 0 && ", "}
              {minimum.minor > 0 && (
                <>
                  <span className="money">{money(minimum)}</span> at least
                </>
              )}
            </dd>
          </>
        )}
      </dl>
      {notes && <p className="prose">{notes}</p>}
    </>
  );
}
