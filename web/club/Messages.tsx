import { graphql } from "../client.ts";
import { NotesField } from "../shared/Fields.tsx";
import { Form } from "../shared/Form.tsx";
import { counted, momentInFull } from "../shared/format.ts";
import { useOpen } from "../shared/Opened.tsx";
import { Section } from "../shared/Page.tsx";
import { Paging, type PagingState } from "../shared/paging.tsx";
import { SaveParts, useSave } from "../shared/save.tsx";
import type { Message } from "./match.ts";
import { openedAction, RowActions, Withheld } from "./RowActions.tsx";

const Write = graphql(
  `
  mutation WriteAboutMatch($want: ID!, $spare: ID!, $text: String!) {
    writeAboutMatch(want: $want, spare: $spare, text: $text) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

interface MessagesProps {
  want: string;
  spare: string;
  /** The other of the two; null for a steward, who reads and does not write. */
  other: string | null;
  messages: {
    totalCount: number;
    pageInfo: { hasNextPage: boolean; hasPreviousPage: boolean; startCursor: string | null; endCursor: string | null };
    edges: readonly { node: Message }[];
  };
  paging: PagingState;
}

/** What the two members of a match have written to each other; nobody else reads it. */
export function Messages({ want, spare, other, messages, paging }: MessagesProps) {
  const { save } = useSave();
  const open = useOpen();
  return (
    <Section title="Messages">
      <p className="prose">
        {other === null
          ? `${counted(messages.totalCount, "message")}, the oldest first.`
          : messages.totalCount === 0
            ? `Nothing has been written yet. Only you and ${other} read what is written here.`
            : `${counted(messages.totalCount, "message")}, the oldest first. Only you and ${other} read them.`}
      </p>
      {messages.totalCount > 0 && (
        <ol className="club-messages">
          {messages.edges.map(({ node }) => {
            const what = `the message of ${momentInFull(node.enteredAt)}`;
            const row = { ...node, own: node.member.own };
            return (
              <li key={node.id}>
                <p className="club-message-head">
                  <strong>{node.member.own ? "You" : node.member.name}</strong>{" "}
                  <time dateTime={node.enteredAt}>{momentInFull(node.enteredAt)}</time>{" "}
                  <RowActions row={row} kind="MESSAGE" what={what} open={open} />
                </p>
                {node.withheldReason === null ? (
                  <p className="prose">{node.text}</p>
                ) : (
                  <Withheld reason={node.withheldReason} />
                )}
                {openedAction({ row, kind: "MESSAGE", what, open })}
              </li>
            );
          })}
        </ol>
      )}
      {messages.totalCount > messages.edges.length && (
        <Paging
          of={paging}
          page={messages.pageInfo}
          total={messages.totalCount}
          shown={messages.edges.length}
          noun="message"
        />
      )}
      {other !== null && (
        <div className="club-narrow">
          <Form
            label={`Write to ${other}`}
            initial={{ text: "" }}
            onSave={({ text }) => save(Write, { want, spare, text: String(text) })}
            saveLabel={`Send it to ${other}`}
          >
            <div className="fields">
              <NotesField name="text" label={`To ${other}`} rows={3} />
            </div>
          </Form>
        </div>
      )}
    </Section>
  );
}
