import { useCallback, useState } from "react";
import { useQuery } from "urql";
import { CheckField, DateField, TextField } from "../shared/Fields.tsx";
import { Form } from "../shared/Form.tsx";
import { useKept } from "../shared/kept.ts";
import { OpenButton, Opened, useOpen } from "../shared/Opened.tsx";
import { Loading, Problem, Section } from "../shared/Page.tsx";
import { Paging, usePaging } from "../shared/paging.tsx";
import { RemoveButton } from "../shared/RemoveButton.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { useSave } from "../shared/save.tsx";
import { useAgainAfter, useUnsent } from "../shared/unsent.tsx";
import { AddPhotographs } from "./AddPhotographs.tsx";
import { Large } from "./Large.tsx";
import { NotSent } from "./NotSent.tsx";
import {
  altOf,
  dayOf,
  OfOperation,
  OfPart,
  OfSnag,
  type Photograph,
  SavePhotograph,
  type Subject,
} from "./photograph.ts";
import { Thumbnail } from "./Thumbnail.tsx";
import "./photographs.css";

const QUERIES: Readonly<Record<string, typeof OfOperation>> = { part: OfPart, operation: OfOperation, snag: OfSnag };

/** The photographs of a part and its quotes, of an operation or of a snag: the first of `of` is what the sheet is about. */
export function Photographs({ of }: { of: readonly [Subject, ...Subject[]] }) {
  const restoration = useRestoration();
  const open = useOpen();
  const [large, setLarge] = useState<string | null>(null);
  const [subject] = of;
  const paging = usePaging("photographs", 24);
  const [result, again] = useQuery({
    query: QUERIES[subject.kind]!,
    variables: { id: subject.id, ...paging.variables },
  });
  const readAgain = useCallback(() => again({ requestPolicy: "network-only" }), [again]);
  const waiting = useUnsent("photographs", restoration.id);
  useAgainAfter(waiting.added + waiting.sentElsewhere, readAgain);
  const read = useKept(result.data, subject.id)?.row.photographs;
  const photographs = read?.edges.map(({ node }) => node) ?? [];
  const subjectOf = ({ quote }: Photograph) => of.find(({ id }) => id === quote?.id) ?? subject;
  return (
    <Section title="Photographs" id="photographs">
      <AddPhotographs of={of} onAdd={(to, pictures) => void waiting.add(restoration.id, to, pictures)} />
      <NotSent waiting={waiting} />
      {!read ? (
        result.error ? (
          <Problem of={result.error} what="the photographs" again={readAgain} />
        ) : (
          <Loading what="the photographs" />
        )
      ) : read.totalCount === 0 ? (
        <p className="soft">No photograph is on record. Take one as it comes out of the crate.</p>
      ) : (
        <>
          <ul className="photographs">
            {photographs.map((photograph) => {
              const alt = altOf(photograph, subjectOf(photograph).name);
              return (
                <li key={photograph.id} className={open.has(photograph.id) ? "editing" : undefined}>
                  <Thumbnail smallPath={photograph.smallPath} alt={alt} onOpen={() => setLarge(photograph.id)} />
                  <p>
                    {photograph.caption || <span className="soft">no caption</span>}
                    <span className="soft small photograph-note">
                      {photograph.quote && `${subjectOf(photograph).name}, `}
                      {dayOf(photograph)} by {photograph.account.name}
                      {!photograph.quote && !photograph.forOwner && ", not for the owner"}
                    </span>
                  </p>
                  <div className="row no-print">
                    <OpenButton of={open} opens={photograph.id}>
                      {photograph.caption ? "Change" : "Add a caption"}
                      <span className="unseen">: {alt}</span>
                    </OpenButton>
                    <RemoveButton row="PHOTOGRAPH" id={photograph.id} revision={photograph.revision} what={alt} />
                  </div>
                  {open.has(photograph.id) && (
                    <Opened>
                      <CaptionForm photograph={photograph} alt={alt} onDone={() => open.close(photograph.id)} />
                    </Opened>
                  )}
                </li>
              );
            })}
          </ul>
          <Paging
            of={paging}
            page={read.pageInfo}
            total={read.totalCount}
            shown={photographs.length}
            noun="photograph"
          />
        </>
      )}
      <Large
        of={photographs.map((photograph) => ({
          ...photograph,
          alt: altOf(photograph, subjectOf(photograph).name),
          words: `${subjectOf(photograph).name}, ${dayOf(photograph)}`,
        }))}
        open={large}
        onOpen={setLarge}
      />
    </Section>
  );
}

interface CaptionFormProps {
  photograph: Photograph;
  alt: string;
  onDone: () => void;
}

function CaptionForm({ photograph, alt, onDone }: CaptionFormProps) {
  const { save } = useSave();
  const { id, revision, caption, takenOn, forOwner, quote } = photograph;
  return (
    <Form
      label={`What is said of it: ${alt}`}
      initial={{ caption, takenOn, ...(quote ? {} : { forOwner }) }}
      row={{ id, revision }}
      onSave={(input) => save(SavePhotograph, { input: input as { id: string } })}
      onSaved={onDone}
      onCancel={onDone}
      saveLabel="Save"
    >
      <div className="fields">
        <TextField name="caption" label="Caption" hint="What it shows, for those too who cannot see it." wide />
        <DateField name="takenOn" label="Taken on" />
        {!quote && <CheckField name="forOwner" label="The owner sees it" />}
      </div>
    </Form>
  );
}
