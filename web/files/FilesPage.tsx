import { Link } from "react-router";
import { addressOf } from "../shared/addresses.ts";
import { Page, Section } from "../shared/Page.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { FileGuide } from "./FileGuide.tsx";
import { Import } from "./Import.tsx";
import "../shared/files.css";

/** Data in and out: files of your own, checked before anything is written; everything back out as a zip. */
export default function FilesPage() {
  const restoration = useRestoration();
  return (
    <Page
      title="Files"
      sentence="Bring in your own lists of work and parts: they are checked first, and either all of it is taken or nothing."
    >
      <Section title="Import">
        <Import restoration={restoration.id} machine={restoration.machine} />
      </Section>
      <Section title="Export">
        <p className="prose">
          Everything of {restoration.machine} as one zip: a CSV file for each list, and restoration.json. It can be
          imported again as it is. Photographs are not in it: CSV files carry no pictures. They stay on the server, and
          an import leaves those of rows that it changes where they are. Also left out are what the owner was asked and
          answered, the record of changes, and the work of other machines on the same hands. A plan of the files alone
          counts none of these, and may give other dates than the program does.
        </p>
        <div className="row">
          <a className="button" href={`/export/${encodeURIComponent(restoration.id)}.zip`} download>
            Export as zip
          </a>
          <a className="button" href="/templates.zip" download>
            Empty templates
          </a>
          <Link className="button" to={`${addressOf.restoration(restoration.id)}#changes`}>
            Record of changes
          </Link>
        </div>
      </Section>
      <Section title="What each file holds">
        <FileGuide />
      </Section>
    </Page>
  );
}
