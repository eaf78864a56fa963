import { graphql } from "../client.ts";
import { currencyChoices } from "../shared/currency.ts";
import { ChoiceField, TextField } from "../shared/Fields.tsx";
import { Form } from "../shared/Form.tsx";
import { counted } from "../shared/format.ts";
import { Page } from "../shared/Page.tsx";
import { SaveParts, useSave } from "../shared/save.tsx";
import type { ClubInView } from "./club.ts";

const Begin = graphql(
  `
  mutation BeginClub($name: String!, $memberName: String!, $currency: String) {
    beginClub(name: $name, memberName: $memberName, currency: $currency) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

const Join = graphql(
  `
  mutation JoinClub($memberName: String!) {
    joinClub(memberName: $memberName) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

interface BeginClubProps {
  currencies: ClubInView["currencies"];
  restorer: boolean;
}

/** There is no club on this server yet: a restorer begins it. */
export function BeginClub({ currencies, restorer }: BeginClubProps) {
  const { save } = useSave();
  if (!restorer)
    return (
      <Page title="The club" sentence="There is no club on this server yet. A restorer of the workshop begins it." />
    );
  return (
    <Page
      title="Begin the club"
      sentence="In a club, restorers and members share who made a part and how it fitted, let spares go, and fill batches together. There is none on this server yet: begin one, and you are its first member and its steward."
    >
      <Form
        label="Begin the club"
        initial={{ name: "", memberName: "", currency: "GBP" }}
        onSave={({ name, memberName, currency }) =>
          save(Begin, { name: String(name), memberName: String(memberName), currency: currency as string | null })
        }
        saveLabel="Begin the club"
      >
        <div className="fields">
          <TextField name="name" label="Name of the club" />
          <TextField
            name="memberName"
            label="Your name in it"
            hint="What the others see; your account's name stays yours."
          />
          <ChoiceField name="currency" label="Currency" choices={currencyChoices({ currencies })} />
        </div>
      </Form>
      <p className="prose">
        Nothing of a restoration becomes visible by it. Each source is shared by itself, and its price only where you
        say so.
      </p>
    </Page>
  );
}

/** A club stands, and the reader does not belong to it yet. */
export function JoinClub({ club }: { club: Pick<ClubInView, "name" | "memberCount" | "sourceCount"> }) {
  return (
    <Page
      title={`Join ${club.name}`}
      sentence={`${counted(club.memberCount, "member")} of ${club.name} ${club.memberCount === 1 ? "has" : "have"} shared ${counted(club.sourceCount, "source")} of parts. Join under a name that the others see, and look for yours.`}
    >
      <NameForm name="" saveLabel="Join the club" />
      <p className="prose">
        Joining shows the others only this name. Nothing of a restoration is shared unless you share it, piece by piece.
      </p>
    </Page>
  );
}

/** The name that the other members see, to be given or changed. */
export function NameForm({ name, saveLabel, onSaved }: { name: string; saveLabel: string; onSaved?: () => void }) {
  const { save } = useSave();
  return (
    <Form
      label={saveLabel}
      initial={{ memberName: name }}
      onSave={({ memberName }) => save(Join, { memberName: String(memberName) })}
      {...(onSaved ? { onSaved } : {})}
      saveLabel={saveLabel}
    >
      <div className="fields">
        <TextField name="memberName" label="Your name in the club" hint="What the others see." />
      </div>
    </Form>
  );
}
