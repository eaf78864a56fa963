import { Link } from "react-router";
import { addressOf } from "../shared/addresses.ts";
import { Form } from "../shared/Form.tsx";
import { plainNumber } from "../shared/format.ts";
import { OpenButton, Opened, useOpen } from "../shared/Opened.tsx";
import { Section } from "../shared/Page.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { useSave } from "../shared/save.tsx";
import { Table } from "../shared/Table.tsx";
import { choicesOf, DIMENSION_NATURE, LENGTH_UNIT } from "../shared/words.ts";
import { ListField } from "./ListField.tsx";
import { type Part, SavePart } from "./part.ts";
import { TypedList } from "./typedList.ts";

type Texts = Record<string, string>;

/** Measured dimensions with their tolerances. */
export function Specification({ part }: { part: Part }) {
  const restoration = useRestoration();
  const { save } = useSave();
  const open = useOpen();
  const send = async ({ specification, ...input }: Record<string, unknown>) => {
    const list = new TypedList("specification");
    const rows = ((specification as Texts[] | undefined) ?? []).map((row, place) => ({
      dimension: row["dimension"] ?? "",
      nature: (row["nature"] as keyof typeof DIMENSION_NATURE | undefined) ?? "OUTSIDE",
      nominal: list.number(place, "nominal", row["nominal"] ?? ""),
      unit: (row["unit"] as "MM" | "IN" | undefined) ?? "MM",
      minus: list.number(place, "minus", row["minus"] ?? "", 0),
      plus: list.number(place, "plus", row["plus"] ?? "", 0),
      note: row["note"] ?? "",
    }));
    return list.outcome() ?? save(SavePart, { input: { ...input, specification: rows } });
  };
  return (
    <Section
      title="Specification"
      id="specification"
      aside={
        <>
          <Link className="button" to={addressOf.threads(restoration.id)}>
            Find a thread
          </Link>
          <OpenButton of={open} opens="list">
            {part.specification.length > 0 ? "Change the dimensions" : "Add dimensions"}
          </OpenButton>
        </>
      }
    >
      {open.has("list") ? (
        <Opened>
          <Form
            label="Specification"
            initial={{
              specification: part.specification.map(({ dimension, nature, nominal, unit, minus, plus, note }) => ({
                dimension,
                nature,
                nominal: String(nominal),
                unit,
                minus: String(minus),
                plus: String(plus),
                note,
              })),
            }}
            row={{ id: part.id, revision: part.revision }}
            onSave={send}
            onSaved={() => open.close("list")}
            onCancel={() => open.close("list")}
            saveLabel="Save the dimensions"
          >
            <p className="soft small">
              Metal comes off an outside, such as a shaft; an inside, such as a bore, is opened up; a distance, such as
              between centres, stays as it is.
            </p>
            <ListField
              name="specification"
              noun="dimension"
              blank={{ dimension: "", nature: "OUTSIDE", nominal: "", unit: "MM", minus: "0", plus: "0", note: "" }}
              columns={[
                { name: "dimension", label: "Dimension" },
                { name: "nature", label: "Which is", choices: choicesOf(DIMENSION_NATURE) },
                { name: "nominal", label: "Nominal", numeric: true },
                { name: "unit", label: "Unit", choices: choicesOf(LENGTH_UNIT) },
                { name: "minus", label: "Minus", numeric: true },
                { name: "plus", label: "Plus", numeric: true },
                { name: "note", label: "Note" },
              ]}
            />
          </Form>
        </Opened>
      ) : part.specification.length === 0 ? (
        <p className="soft">No dimension is measured yet. Makers ask for them before they quote.</p>
      ) : (
        <Table
          caption="Dimensions"
          rows={part.specification}
          rowKey={({ id }) => id}
          columns={[
            { id: "dimension", title: "Dimension", lead: true, cell: ({ dimension }) => dimension },
            { id: "nature", title: "Which is", cell: ({ nature }) => DIMENSION_NATURE[nature] },
            { id: "nominal", title: "Nominal", numeric: true, cell: ({ nominal }) => plainNumber(nominal, 6) },
            { id: "unit", title: "Unit", cell: ({ unit }) => LENGTH_UNIT[unit] },
            { id: "minus", title: "Minus", numeric: true, cell: ({ minus }) => plainNumber(minus, 6) },
            { id: "plus", title: "Plus", numeric: true, cell: ({ plus }) => plainNumber(plus, 6) },
            { id: "note", title: "Note", cell: ({ note }) => note },
          ]}
        />
      )}
    </Section>
  );
}

/** Numbers by which the part is known. */
export function References({ part }: { part: Part }) {
  const { save } = useSave();
  const open = useOpen();
  return (
    <Section
      title="Reference numbers"
      id="references"
      aside={
        <OpenButton of={open} opens="list">
          {part.references.length > 0 ? "Change the numbers" : "Add numbers"}
        </OpenButton>
      }
    >
      {open.has("list") ? (
        <Opened>
          <Form
            label="Reference numbers"
            initial={{ references: part.references.map(({ book, number }) => ({ book, number })) }}
            row={{ id: part.id, revision: part.revision }}
            onSave={(input) => save(SavePart, { input })}
            onSaved={() => open.close("list")}
            onCancel={() => open.close("list")}
            saveLabel="Save the numbers"
          >
            <ListField
              name="references"
              noun="number"
              blank={{ book: "", number: "" }}
              columns={[
                { name: "book", label: "Book" },
                { name: "number", label: "Number" },
              ]}
            />
          </Form>
        </Opened>
      ) : part.references.length === 0 ? (
        <p className="soft">No number is known yet: from a parts book, a drawing, or cast into a survivor.</p>
      ) : (
        <dl className="facts">
          {part.references.map(({ id, book, number }) => (
            <div className="fact" key={id}>
              <dt>{book || "book not noted"}</dt>
              <dd>{number}</dd>
            </div>
          ))}
        </dl>
      )}
    </Section>
  );
}
