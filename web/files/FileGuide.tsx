import { useQuery } from "urql";
import { graphql } from "../client.ts";
import { Loading, Problem } from "../shared/Page.tsx";
import "../shared/files.css";

const GuideQuery = graphql(`
  query FileGuide($club: Boolean) {
    fileGuide(club: $club) { file says needed columns { name needed says } }
  }
`);

/** What each file holds, in plain words: of a restoration or of the club. */
export function FileGuide({ club }: { club?: boolean }) {
  const [{ data, error }, again] = useQuery({ query: GuideQuery, variables: { club: club ?? false } });
  if (error)
    return <Problem of={error} what="what the files hold" again={() => again({ requestPolicy: "network-only" })} />;
  if (!data) return <Loading what="what the files hold" />;
  return (
    <>
      <p className="prose">
        Comma, semicolon or tab between the values; text in UTF-8; dates as 2027-06-19; decimals with a point; money as
        12.50, in its own currency; yes or no, which may also be true or false, 1 or 0, or x for yes. What a spreadsheet
        writes otherwise, such as 12,50, 19/06/2027 or £12.50, is read too where it leaves no doubt, and you are told
        for what it was taken. The first line names the columns. Leave out files and columns that you do not need: only
        those marked with * must be there.
      </p>
      <dl className="guide">
        {data.fileGuide.map(({ file, says, needed, columns }) => (
          <div key={file}>
            <dt>
              {file}
              {needed && " *"}
            </dt>
            <dd>
              {says}
              <details>
                <summary className="columns-named">
                  {columns.map((one) => `${one.name}${one.needed ? "*" : ""}`).join(", ")}
                </summary>
                <dl className="columns-told">
                  {columns.map((one) => (
                    <div key={one.name}>
                      <dt>{one.name}</dt>
                      <dd>{one.says}</dd>
                    </div>
                  ))}
                </dl>
              </details>
            </dd>
          </div>
        ))}
      </dl>
    </>
  );
}
