import type { ResultOf } from "gql.tada";
import { graphql } from "../client.ts";

export const VisitorQuery = graphql(`
  query Visitor {
    visitor {
      account { id name role admin }
      demoPeople { id name role }
      may
    }
  }
`);

export const AccountParts = graphql(`
  fragment AccountParts on AccountResult @_unmask {
    __typename
    ... on AccountSaved { id link }
    ... on InvalidInput { message faults { field message complaint } }
    ... on StaleRow { id revision message differences { field theirs yours } }
    ... on Refused { message }
  }
`);

export const SignIn = graphql(
  `
  mutation SignIn($email: String!, $password: String!) {
    signIn(email: $email, password: $password) { ...AccountParts }
  }
`,
  [AccountParts],
);

export const ActAs = graphql(
  `
  mutation ActAs($account: ID!) {
    actAs(account: $account) { ...AccountParts }
  }
`,
  [AccountParts],
);

export const SignOut = graphql(
  `
  mutation SignOut {
    signOut { ...AccountParts }
  }
`,
  [AccountParts],
);

export const InvitationQuery = graphql(`
  query Invitation($secret: String!) {
    invitation(secret: $secret) { kind name email workshop endsAt }
  }
`);

export const TakeUp = graphql(
  `
  mutation TakeUpInvitation($secret: String!, $password: String!, $name: String, $email: String, $workshop: String) {
    takeUpInvitation(secret: $secret, password: $password, name: $name, email: $email, workshop: $workshop) { ...AccountParts }
  }
`,
  [AccountParts],
);

export const PeopleQuery = graphql(`
  query People($first: Int, $after: String, $eventsFirst: Int, $eventsAfter: String) {
    me { id workshop { id name } }
    restorations(first: 200) { edges { node { id machine } } }
    people(first: $first, after: $after) {
      totalCount
      pageInfo { hasNextPage hasPreviousPage startCursor endCursor }
      edges { node { id name email role admin closed joined } }
    }
    accountEvents(first: $eventsFirst, after: $eventsAfter) {
      totalCount
      pageInfo { hasNextPage hasPreviousPage startCursor endCursor }
      edges { node { id at kind summary accountName byName } }
    }
  }
`);

export const BackupsQuery = graphql(`
  query Backups {
    backups {
      revision nightly kept
      newest { name madeAt photographs bytes wrong }
      failed { at why }
    }
  }
`);

export const SaveBackups = graphql(
  `
  mutation SaveBackups($input: BackupsInput!) {
    saveBackups(input: $input) { ...AccountParts }
  }
`,
  [AccountParts],
);

export const WorkshopQuery = graphql(`
  query Workshop {
    me { id workshop { id revision name address replyTo timeZone shopSpread tradeSpread } }
  }
`);

export const SaveWorkshop = graphql(
  `
  mutation SaveWorkshop($input: WorkshopInput!) {
    saveWorkshop(input: $input) { ...AccountParts }
  }
`,
  [AccountParts],
);

export const MeQuery = graphql(`
  query Me($first: Int, $after: String) {
    me {
      id revision name email role admin
      workshop { id name }
      signIns(first: $first, after: $after) {
        totalCount
        pageInfo { hasNextPage hasPreviousPage startCursor endCursor }
        edges { node { id browser begunAt usedAt current } }
      }
    }
  }
`);

/** The account as it stands now. */
export const OwnQuery = graphql(`
  query OwnAccount {
    me { id revision name email }
  }
`);

export const Invite = graphql(
  `
  mutation Invite($input: InviteInput!) {
    invite(input: $input) { ...AccountParts }
  }
`,
  [AccountParts],
);

export const HandOutReset = graphql(
  `
  mutation HandOutReset($account: ID!) {
    handOutReset(account: $account) { ...AccountParts }
  }
`,
  [AccountParts],
);

export const CloseAccount = graphql(
  `
  mutation CloseAccount($account: ID!, $closed: Boolean!) {
    closeAccount(account: $account, closed: $closed) { ...AccountParts }
  }
`,
  [AccountParts],
);

export const ChangeRole = graphql(
  `
  mutation ChangeRole($account: ID!, $role: Role!, $admin: Boolean, $restoration: ID) {
    changeRole(account: $account, role: $role, admin: $admin, restoration: $restoration) { ...AccountParts }
  }
`,
  [AccountParts],
);

export const SaveAccount = graphql(
  `
  mutation SaveAccount($input: AccountInput!) {
    saveAccount(input: $input) { ...AccountParts }
  }
`,
  [AccountParts],
);

export const ChangePassword = graphql(
  `
  mutation ChangePassword($present: String!, $next: String!) {
    changePassword(present: $present, next: $next) { ...AccountParts }
  }
`,
  [AccountParts],
);

export const EndSignIn = graphql(
  `
  mutation EndSignIn($id: ID!) {
    endSignIn(id: $id) { ...AccountParts }
  }
`,
  [AccountParts],
);

export const SignOutEverywhere = graphql(
  `
  mutation SignOutEverywhere {
    signOutEverywhere { ...AccountParts }
  }
`,
  [AccountParts],
);

export type AccountAnswer = ResultOf<typeof AccountParts>;

export type PersonRow = ResultOf<typeof PeopleQuery>["people"]["edges"][number]["node"];
