import { Link } from "react-router";
import { useQuery } from "urql";
import { graphql } from "../client.ts";
import { useMay } from "../shared/useMay.ts";

const LetterheadQuery = graphql(`
  query Letterhead {
    me { id workshop { id name address replyTo } }
  }
`);

/** What a workshop is called until somebody says it. */
const unnamed = (name: string): boolean => /^((the|my) )?(workshop)?$/i.test(name.trim());

/** Who sends the report, from where, and where to reply to it, as the workshop types them. */
export function Letterhead() {
  const may = useMay();
  const [{ data }] = useQuery({ query: LetterheadQuery });
  const workshop = data?.me.workshop;
  if (!workshop) return null;
  const { name, address, replyTo } = workshop;
  const lines = address.split("\n").filter((line) => line.trim() !== "");
  const lacking = [
    unnamed(name) && "the workshop's name",
    lines.length === 0 && "its address",
    replyTo === "" && "where to reply",
  ].filter(Boolean);
  return (
    <>
      {(!unnamed(name) || lines.length > 0 || replyTo) && (
        <address className="letterhead">
          {!unnamed(name) && <strong>{name}</strong>}
          {lines.map((line) => (
            <span key={line}>{line}</span>
          ))}
          {replyTo && <span>Reply to {replyTo}</span>}
        </address>
      )}
      {lacking.length > 0 && may("Mutation.saveWorkshop") && (
        <p className="caution no-print">
          The head of this report lacks {lacking.join(" and ")}. <Link to="/people#workshop">Say it there</Link>.
        </p>
      )}
    </>
  );
}
