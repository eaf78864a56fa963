import { useMemo } from "react";
import { useEveryPage } from "../shared/everyPage.ts";
import { ChoiceField, DateField, NumberField, TextField, TradesField } from "../shared/Fields.tsx";
import { Form } from "../shared/Form.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { useSave } from "../shared/save.tsx";
import { useMay } from "../shared/useMay.ts";
import { USUAL_WEEK } from "../shared/weekdays.ts";
import { type Hand, HandAccountsQuery, SaveHand } from "./hand.ts";
import { WeekFields } from "./WeekFields.tsx";

/** A person, or a line of several: trades, hours of each weekday, from when to when, and whose account it is. */
export function HandForm({ hand, onDone }: { hand?: Hand; onDone: () => void }) {
  const { trades: known } = useRestoration();
  const { save } = useSave();
  const { id: _id, revision: _revision, absences: _absences, askSame: _ask, account, ...row } = hand ?? NEW;
  return (
    <Form
      label={hand ? `Hand ${hand.name}` : "A hand"}
      saveLabel="Save the hand"
      row={hand ? { id: hand.id, revision: hand.revision } : null}
      initial={{ ...row, account: account?.id ?? null }}
      onSave={(input) => save(SaveHand, { input })}
      onSaved={onDone}
      onCancel={onDone}
    >
      <div className="fields">
        <TextField name="name" label="Name" hint="A person, or a line such as engine hands" />
        <NumberField name="people" label="People" hint="More than one work alike, without names" whole />
        <TradesField name="trades" label="Trades" hint="Enter after each" suggestions={known} />
      </div>
      <WeekFields />
      <div className="fields">
        <DateField name="joinsOn" label="Joins on" hint="Blank: is here" />
        <DateField name="leavesOn" label="Leaves on" hint="The last day; blank: stays" />
        <AccountField account={account} />
      </div>
    </Form>
  );
}

const NEW: Omit<Hand, "id" | "revision" | "absences" | "askSame"> & Partial<Hand> = {
  name: "",
  people: 1,
  trades: [],
  ...USUAL_WEEK,
  joinsOn: null,
  leavesOn: null,
  account: null,
};

/** Whose account it is: one's own, or for an admin any restorer's. */
function AccountField({ account }: { account: Hand["account"] }) {
  const may = useMay();
  const all = may("Query.people");
  const variables = useMemo(() => ({ all }), [all]);
  const { data, rows = [] } = useEveryPage(HandAccountsQuery, variables, (read) => read.people ?? NOBODY);
  const accounts = new Map<string, string>();
  if (account) accounts.set(account.id, account.name);
  if (data) accounts.set(data.me.id, data.me.name);
  for (const { id, name, role } of rows) if (role === "RESTORER") accounts.set(id, name);
  return (
    <ChoiceField
      name="account"
      label="Account"
      hint="Can enter its own absences, on Today"
      none="none"
      choices={[...accounts].map(([value, label]) => ({ value, label }))}
    />
  );
}

const NOBODY = { totalCount: 0, pageInfo: { hasNextPage: false, endCursor: null }, edges: [] };
