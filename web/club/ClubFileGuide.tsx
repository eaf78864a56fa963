import { CLUB_GUIDE } from "./clubGuide.ts";

/** What each of the club's files holds, in plain words. */
export function ClubFileGuide() {
  return (
    <>
      <p className="prose">
        Comma, semicolon or tab between the values; text in UTF-8; dates as 2027-06-19; decimals with a point; money in
        the major unit of its currency. The first line names the columns. Leave out files and columns that you do not
        need: only those marked with * must be there.
      </p>
      <dl className="guide">
        {CLUB_GUIDE.map(({ file, says, columns }) => (
          <div key={file}>
            <dt>{file}</dt>
            <dd>
              {says}
              <span className="columns-named">{columns}</span>
            </dd>
          </div>
        ))}
      </dl>
    </>
  );
}
