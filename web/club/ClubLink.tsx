import { Link } from "react-router";
import { useQuery } from "urql";
import { VisitorQuery } from "../accounts/documents.ts";

/** The way to the club, for those to whom it is open. */
export function ClubLink() {
  const [{ data }] = useQuery({ query: VisitorQuery });
  if (data?.visitor.account?.role !== "RESTORER") return null;
  return (
    <Link className="no-print" to="/club">
      The club
    </Link>
  );
}
