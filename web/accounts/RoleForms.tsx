import { useClient } from "urql";
import { AccountForm, type FieldOf } from "./AccountForm.tsx";
import { ChangeRole, Invite, type PersonRow } from "./documents.ts";

const ROLES = [
  { value: "RESTORER", label: "restorer" },
  { value: "ADMIN", label: "restorer and admin: invites, resets, closes" },
  { value: "OWNER", label: "owner of one machine" },
  { value: "MEMBER", label: "club member" },
] as const;

type Chosen = (typeof ROLES)[number]["value"];

interface Machine {
  id: string;
  machine: string;
}

/** The role, and for an owner the machine. */
const roleFields = (restorations: readonly Machine[], initial: Chosen, owned: string): FieldOf[] => [
  { name: "role", label: "Role", choices: ROLES, initial },
  {
    name: "restoration",
    label: "Machine",
    choices: [
      { value: "", label: "choose" },
      ...restorations.map(({ id, machine }) => ({ value: id, label: machine })),
    ],
    initial: owned,
    hint: "The owner sees this machine and no other.",
    when: ({ role }) => role === "OWNER",
  },
];

const asSent = ({ role = "RESTORER", restoration }: Record<string, string>) => ({
  role: role === "ADMIN" ? ("RESTORER" as const) : (role as Exclude<Chosen, "ADMIN">),
  admin: role === "ADMIN",
  restoration: role === "OWNER" ? restoration || null : null,
});

interface InviteFormProps {
  restorations: readonly Machine[];
  onDone: (link: string, name: string) => void;
  onCancel: () => void;
}

/** Somebody new: the answer is a link to hand out. */
export function InviteForm({ restorations, onDone, onCancel }: InviteFormProps) {
  const client = useClient();
  return (
    <AccountForm
      label="Invite somebody"
      button="Make the link"
      fields={[
        { name: "name", label: "Name", autoComplete: "off" },
        {
          name: "email",
          label: "E-mail",
          type: "email",
          autoComplete: "off",
          hint: "May be left out: whoever joins sets it. No mail is sent.",
        },
        ...roleFields(restorations, "RESTORER", ""),
      ]}
      send={async ({ name = "", email, ...values }) => {
        const input = { name, email: email || null, ...asSent(values) };
        const { data, error } = await client.mutation(Invite, { input }).toPromise();
        return { answer: data?.invite, error };
      }}
      onDone={(answer, values) => onDone(answer.link ?? "", values["name"] ?? "")}
      onCancel={onCancel}
    />
  );
}

interface RoleFormProps {
  person: PersonRow;
  restorations: readonly Machine[];
  onDone: () => void;
  onCancel: () => void;
}

/** Another role for somebody. What may be seen changes with the next request. */
export function RoleForm({ person, restorations, onDone, onCancel }: RoleFormProps) {
  const client = useClient();

  return (
    <AccountForm
      label={`The role of ${person.name}`}
      button="Change the role"
      fields={roleFields(restorations, person.admin ? "ADMIN" : person.role, "")}
      send={async (values) => {
        const { data, error } = await client
          .mutation(ChangeRole, { account: person.id, ...asSent(values) })
          .toPromise();
        return { answer: data?.changeRole, error };
      }}
      onDone={onDone}
      onCancel={onCancel}
    />
  );
}
