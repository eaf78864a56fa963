import { useState } from "react";
import { NumberField, TextField } from "../shared/Fields.tsx";
import { Form } from "../shared/Form.tsx";
import { counted, listed, plainNumber } from "../shared/format.ts";
import { RemoveButton } from "../shared/RemoveButton.tsx";
import { useSave } from "../shared/save.tsx";
import { PROVENANCE } from "../shared/words.ts";
import { atDeductionFields, deductionFields, fieldOf, PROVENANCES, withDeductions } from "./deductions.ts";
import { JudgingLines } from "./JudgingLines.tsx";
import { type JudgingSectionRow, type RestorationRow, SaveAwardFloor, SaveJudgingSection } from "./restorationRow.ts";
import { SampleSheets } from "./SampleSheets.tsx";

type Floor = RestorationRow["judgingSheet"]["floors"][number];

/** The user's own judging sheet: sections with their lines and what each provenance loses, and the points from which an award is given. */
export function JudgingSheet({ restoration, sheet }: { restoration: string; sheet: RestorationRow["judgingSheet"] }) {
  const [open, setOpen] = useState<string | null>(null);
  const { sections, floors } = sheet;
  const next = sections.reduce((most, section) => Math.max(most, section.position + 1), 0);
  return (
    <>
      <p className="prose">
        {sections.length === 0
          ? "No sheet is entered: points lost are then counted without a maximum."
          : `${counted(sections.length, "section")}, ${counted(sheet.maximum, "point")} in all.`}
      </p>
      {open === "samples" ? (
        <SampleSheets
          restoration={restoration}
          replaces={sections.length > 0 || floors.length > 0}
          onDone={() => setOpen(null)}
        />
      ) : (
        <p className="no-print">
          <button type="button" onClick={() => setOpen("samples")}>
            Take a sample sheet
          </button>
        </p>
      )}
      <ul className="sections">
        {sections.map((section) => (
          <li key={section.id}>
            <div className="headline">
              <h3>{section.name}</h3>
              <div className="row no-print">
                <button
                  type="button"
                  aria-expanded={open === section.id}
                  onClick={() => setOpen(open === section.id ? null : section.id)}
                >
                  Change<span className="unseen"> the section {section.name}</span>
                </button>
                <RemoveButton
                  row="JUDGING_SECTION"
                  id={section.id}
                  revision={section.revision}
                  what={`the section ${section.name}`}
                />
              </div>
            </div>
            {open === section.id ? (
              <SectionForm
                restoration={restoration}
                section={section}
                position={section.position}
                onDone={() => setOpen(null)}
              />
            ) : (
              <SectionLines section={section} />
            )}
          </li>
        ))}
      </ul>
      {open === "new" ? (
        <SectionForm restoration={restoration} position={next} onDone={() => setOpen(null)} />
      ) : (
        <button type="button" className="no-print" onClick={() => setOpen("new")}>
          Add a section
        </button>
      )}
      <h3 className="floors-head">Award floors</h3>
      <ul className="lines-narrow">
        {floors.map((floor) => (
          <li key={floor.id}>
            <span>
              <strong>{floor.award}</strong> <span className="soft">from {counted(floor.points, "point")}</span>
            </span>
            <span className="row no-print">
              <button
                type="button"
                aria-expanded={open === floor.id}
                onClick={() => setOpen(open === floor.id ? null : floor.id)}
              >
                Change<span className="unseen"> the floor of {floor.award}</span>
              </button>
              <RemoveButton
                row="AWARD_FLOOR"
                id={floor.id}
                revision={floor.revision}
                what={`the floor of ${floor.award}`}
              />
            </span>
            {open === floor.id && (
              <div className="block">
                <FloorForm restoration={restoration} floor={floor} onDone={() => setOpen(null)} />
              </div>
            )}
          </li>
        ))}
      </ul>
      {floors.length === 0 && <p className="soft">None.</p>}
      {open === "floor" ? (
        <FloorForm restoration={restoration} onDone={() => setOpen(null)} />
      ) : (
        <button type="button" className="no-print" onClick={() => setOpen("floor")}>
          Add an award
        </button>
      )}
    </>
  );
}

function SectionLines({ section }: { section: JudgingSectionRow }) {
  const sum = section.lines.reduce((total, line) => total + line.maximum, 0);
  return (
    <>
      <ol className="judged">
        {section.lines.map((line) => (
          <li key={line.id}>
            <span>
              {line.title}
              {line.mandatory && <span className="soft"> (lost whole or not at all)</span>}
              {line.disqualifying && <span className="soft"> (a loss leaves no award)</span>}
            </span>
            <span className="number">{plainNumber(line.maximum)}</span>
          </li>
        ))}
      </ol>
      <p className="judged-sum">
        <span>At most</span> <span className="number">{plainNumber(section.maximum)}</span>
      </p>
      {section.cap !== null && (
        <p className="judged-sum">
          <span>Can lose at most</span> <span className="number">{plainNumber(section.cap)}</span>
        </p>
      )}
      {section.lines.length > 0 && sum !== section.maximum && (
        <p className="soft small">
          The lines add up to {plainNumber(sum)}; the section gives at most {plainNumber(section.maximum)}.
        </p>
      )}
      <p className="soft">
        {section.deductions.length === 0
          ? "No provenance loses anything here."
          : `A part that is seen loses: ${listed(
              section.deductions.map(({ provenance, points }) => `${PROVENANCE[provenance]} ${plainNumber(points)}`),
            )}.`}
      </p>
    </>
  );
}

function SectionForm({
  restoration,
  section,
  position,
  onDone,
}: {
  restoration: string;
  section?: JudgingSectionRow;
  position: number;
  onDone: () => void;
}) {
  const { save } = useSave();
  const loses = deductionFields(section);
  const lines = (section?.lines ?? []).map(({ id, title, maximum, mandatory, disqualifying }) => ({
    id,
    title,
    maximum,
    mandatory,
    disqualifying,
  }));
  return (
    <Form
      label={section ? `Section ${section.name}` : "New section"}
      saveLabel="Save the section"
      row={section ? { id: section.id, revision: section.revision } : null}
      initial={{
        name: section?.name ?? "",
        maximum: section?.maximum ?? null,
        cap: section?.cap ?? null,
        position,
        lines,
        ...loses,
      }}
      onSave={async (sent) => {
        const input = withDeductions(sent, loses);
        const outcome = await save(SaveJudgingSection, { input: section ? input : { ...input, restoration } });
        return atDeductionFields(outcome, input);
      }}
      onSaved={onDone}
      onCancel={onDone}
    >
      <div className="fields">
        <TextField name="name" label="Section" />
        <NumberField name="maximum" label="Points at most" />
        <NumberField name="cap" label="Can lose at most" hint="Blank: all it gives" />
        <NumberField name="position" label="Place on the sheet" whole />
      </div>
      <JudgingLines />
      <fieldset className="closed-dates">
        <legend>What a part that is seen loses</legend>
        <p className="soft small">By its provenance; blank: nothing.</p>
        <div className="fields week">
          {PROVENANCES.map((provenance) => (
            <NumberField
              key={provenance}
              name={fieldOf(provenance)}
              label={PROVENANCE[provenance].replace(/^./, (first) => first.toUpperCase())}
            />
          ))}
        </div>
      </fieldset>
    </Form>
  );
}

function FloorForm({ restoration, floor, onDone }: { restoration: string; floor?: Floor; onDone: () => void }) {
  const { save } = useSave();
  return (
    <Form
      label={floor ? `Floor of ${floor.award}` : "New award"}
      saveLabel="Save the award"
      row={floor ? { id: floor.id, revision: floor.revision } : null}
      initial={{ award: floor?.award ?? "", points: floor?.points ?? null }}
      onSave={(input) => save(SaveAwardFloor, { input: floor ? input : { ...input, restoration } })}
      onSaved={onDone}
      onCancel={onDone}
    >
      <div className="fields">
        <TextField name="award" label="Award" />
        <NumberField name="points" label="Points from" />
      </div>
    </Form>
  );
}
