import type { ResultOf } from "gql.tada";
import { graphql } from "../client.ts";

export const VisitorQuery = graphql(`
  query Visitor {
    visitor {
      account { id name role }
      demoPeople { id }
    }
  }
`);

export const AccountParts = graphql(`
  fragment AccountParts on AccountResult @_unmask {
    __typename
    ... on AccountSaved { id }
    ... on InvalidInput { message faults { field message } }
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
  mutation TakeUpInvitation($secret: String!, $password: String!, $name: String, $email: String) {
    takeUpInvitation(secret: $secret, password: $password, name: $name, email: $email) { ...AccountParts }
  }
`,
  [AccountParts],
);

export type AccountAnswer = ResultOf<typeof AccountParts>;
