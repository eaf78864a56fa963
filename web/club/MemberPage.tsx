import { useNavigate } from "react-router";
import { Page, Section } from "../shared/Page.tsx";
import { clubAddress } from "./addresses.ts";
import { useClub } from "./club.ts";
import { NameForm } from "./Membership.tsx";
import { MembersTable } from "./MembersTable.tsx";

/** The name by which the other members see the reader. */
export default function MemberPage() {
  const club = useClub();
  const navigate = useNavigate();
  return (
    <Page
      title="Your name in the club"
      sentence={`The others see you as ${club.memberName}. A new name goes on everything you have shared too.`}
    >
      <div className="club-narrow">
        <NameForm
          name={club.memberName}
          saveLabel="Change the name"
          onSaved={() => void navigate(clubAddress.sources())}
        />
      </div>
      <Section title="Members">
        <p className="prose">
          Stewards withhold entries and say why, answer complaints, and make other members stewards. There is always at
          least one.
        </p>
        <MembersTable />
      </Section>
    </Page>
  );
}
