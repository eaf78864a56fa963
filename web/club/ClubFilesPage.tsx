import { FileGuide } from "../files/FileGuide.tsx";
import { Page, Section } from "../shared/Page.tsx";
import { ClubImport } from "./ClubImport.tsx";
import { useClub } from "./club.ts";
import "../shared/files.css";

/** The club's data in and out: own rows brought in from files, all of them or none; and a zip of everything one may take. */
export default function ClubFilesPage() {
  const { steward, name } = useClub();
  return (
    <Page
      title="Files"
      sentence={
        steward
          ? "Bring in sources, wants, spares and batches of every member: either all of it is taken or nothing."
          : "Bring in your own sources, wants, spares and batches: either all of it is taken or nothing."
      }
    >
      <Section title="Import">
        <p className="prose">
          Rows with a known code are changed, others added, none taken away.{" "}
          {steward
            ? "The column member says whose a row is; blank is you."
            : "Rows of other members stay as they are: a changed one is a fault."}
        </p>
        <ClubImport />
      </Section>
      <Section title="Export">
        <p className="prose">
          {steward
            ? `Everything of ${name} as one zip, with what is withheld.`
            : `What you may read of ${name} as one zip, and your own rows with what only you are told.`}{" "}
          It can be imported again as it is.
        </p>
        <div className="row">
          <a className="button" href="/club-export.zip" download>
            Export as zip
          </a>
          <a className="button" href="/club-templates.zip" download>
            Empty templates
          </a>
        </div>
      </Section>
      <Section title="What each file holds">
        <FileGuide club />
      </Section>
    </Page>
  );
}
