import { Link } from "react-router";
import { addressOf } from "../shared/addresses.ts";
import { counted, listed, money } from "../shared/format.ts";
import { Mark } from "../shared/Mark.tsx";
import { Section } from "../shared/Page.tsx";
import { useRestoration } from "../shared/restoration.ts";
import type { MoneyData } from "./documents.ts";

/** What waits for the owner, what the owner declined, and what is chosen over the limit without having been asked; nothing where there is neither. */
export function Consent({ of }: { of: MoneyData }) {
  const { id } = useRestoration();
  const due = of.consentDue.edges
    .map(({ node }) => node)
    .filter(({ asked }) => asked !== "WAITING" && asked !== "APPROVED");
  const ordered = due.filter(({ kind }) => kind === "ORDER");
  const chosen = due.filter(({ kind }) => kind !== "ORDER");
  const declined = of.declined.edges.map(({ node }) => node);
  if (due.length === 0 && of.waiting.totalCount === 0 && declined.length === 0) return null;
  return (
    <Section
      title="The owner's consent"
      id="consent"
      aside={
        <Link className="button" to={addressOf.owner(id)}>
          Ask in the report
        </Link>
      }
    >
      {of.waiting.totalCount > 0 && (
        <p>
          <Mark word="waits" colour="brass" shape="empty" /> {counted(of.waiting.totalCount, "decision")} for{" "}
          {of.owner || "the owner"}.
        </p>
      )}
      {declined.length > 0 && (
        <ul>
          {declined.map(({ title, words, follows }) => (
            <li key={`${title} ${words}`}>
              <Mark word="declined" colour="ink" shape="cross" /> {title}: {words}
              {follows && `; ${follows}`}.
            </li>
          ))}
        </ul>
      )}
      {chosen.length > 0 && of.consentOver && (
        <p>
          <Mark word="not approved" colour="brass" shape="broken" />{" "}
          {listed(chosen.map(({ title, amount }) => `${title} (${money(amount)})`))}{" "}
          {chosen.length === 1 ? "is" : "are"} chosen and over the limit of {money(of.consentOver)}: consent is due
          before the order.
        </p>
      )}
      {ordered.length > 0 && of.consentOver && (
        <p>
          <Mark word="ordered without consent" colour="brass" shape="broken" />{" "}
          {listed(ordered.map(({ title, amount }) => `${title} (${money(amount)})`))}: over the limit of{" "}
          {money(of.consentOver)}. Whether consent was due is for local law.
        </p>
      )}
    </Section>
  );
}
