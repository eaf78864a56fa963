import { type ReactNode, useId } from "react";
import { Link } from "react-router";
import { useQuery } from "urql";
import { CorrectPayment } from "../parts/part.ts";
import { addressOf } from "../shared/addresses.ts";
import { told } from "../shared/Brief.tsx";
import { ChoiceFilter, Narrowing, SearchFilter } from "../shared/Filters.tsx";
import { dateInFull, money } from "../shared/format.ts";
import { useKept } from "../shared/kept.ts";
import { OpenButton, Opened, useOpen } from "../shared/Opened.tsx";
import { Loading, Problem, Section } from "../shared/Page.tsx";
import { Paging, useAddressValue, usePaging } from "../shared/paging.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { useSave } from "../shared/save.tsx";
import { Table, useSort } from "../shared/Table.tsx";
import { useNarrow } from "../shared/useNarrow.ts";
import { choicesOf } from "../shared/words.ts";
import { CorrectInvoice, type Entry, LedgerQuery } from "./documents.ts";
import { InvoiceForm } from "./InvoiceForm.tsx";
import { dayIn, isOwners, kindIn, LEDGER_KIND, SORTS } from "./ledger.ts";

/** Entries on a page; on a narrow screen fewer. */
const SIZE = 25;
const NARROW_SIZE = 15;
const PAGES = ["entries"];

/** Every entry of the money, with what the owner's account stood at after it. None is changed or taken out. */
export function Ledger({ figuresFor }: { figuresFor: string }) {
  const { id, currency } = useRestoration();
  const open = useOpen();
  const size = useNarrow() ? NARROW_SIZE : SIZE;
  const paging = usePaging("entries", size);
  const [kind, setKind] = useAddressValue("kind", PAGES);
  const [search, setSearch] = useAddressValue("q", PAGES);
  const [from, setFrom] = useAddressValue("from", PAGES);
  const [to, setTo] = useAddressValue("to", PAGES);
  const [sort, sortBy] = useSort({ column: "day", descending: true }, "sort", PAGES);
  const asked = kindIn(kind);
  const [result, again] = useQuery({
    query: LedgerQuery,
    variables: {
      restoration: id,
      first: size,
      after: paging.variables.after ?? null,
      kinds: asked ? [asked] : null,
      search: search ?? null,
      from: dayIn(from) ?? null,
      to: dayIn(to) ?? null,
      sort: SORTS[sort.column as keyof typeof SORTS] ?? "DAY",
      descending: sort.descending,
    },
  });
  const list = useKept(result.data?.restoration?.ledger, id);
  const rows = list?.edges.map(({ node }) => node) ?? [];
  // Nothing is entered at all: there is nothing to look through either.
  const bare = list?.totalCount === 0 && !asked && !search && !from && !to;
  const done = (key: string) => () => open.close(key);
  return (
    <Section
      title="Ledger"
      id="ledger"
      aside={
        <>
          <OpenButton of={open} opens="INVOICE">
            Enter an invoice
          </OpenButton>
          <OpenButton of={open} opens="RECEIPT">
            Enter a receipt
          </OpenButton>
          {!bare && (
            <a className="button" href={`/ledger/${encodeURIComponent(id)}.csv`} download>
              Whole ledger as CSV
            </a>
          )}
        </>
      }
    >
      {(["INVOICE", "RECEIPT"] as const).map(
        (which) =>
          open.has(which) && (
            <Opened key={which}>
              <InvoiceForm kind={which} day={figuresFor} onDone={done(which)} />
            </Opened>
          ),
      )}
      {result.error && !list ? (
        <Problem of={result.error} what="the ledger" again={() => again({ requestPolicy: "network-only" })} />
      ) : !list ? (
        <Loading what="the ledger" />
      ) : (
        <div className="ledger">
          <Table
            caption="Ledger"
            rows={rows}
            rowKey={({ id: entry }) => entry}
            brief={({ what, day, kind: which, who, takesBack, takenBack, home }) => ({
              name: what,
              also: told(
                dateInFull(day),
                LEDGER_KIND[which],
                takesBack && "taken back",
                takenBack && "corrected since",
                who,
              ),
              when: home ? money(home) : "no rate known",
            })}
            sort={sort}
            onSort={sortBy}
            filters={
              !bare && (
                <Narrowing
                  says={[
                    asked && LEDGER_KIND[asked],
                    search && `“${search}”`,
                    dayIn(from) && `from ${dateInFull(dayIn(from)!)}`,
                    dayIn(to) && `to ${dateInFull(dayIn(to)!)}`,
                  ]}
                >
                  <SearchFilter label="Search" value={search} onChange={setSearch} />
                  <ChoiceFilter
                    label="Kind"
                    value={asked ?? null}
                    onChange={setKind}
                    choices={choicesOf(LEDGER_KIND)}
                    all="all kinds"
                  />
                  <DayFilter label="From" value={dayIn(from) ?? ""} onChange={setFrom} />
                  <DayFilter label="To" value={dayIn(to) ?? ""} onChange={setTo} />
                </Narrowing>
              )
            }
            columns={[
              {
                id: "day",
                title: "Day",
                sortable: true,
                cell: ({ day }) => <span className="nowrap">{dateInFull(day)}</span>,
              },
              { id: "kind", title: "Kind", sortable: true, cell: (entry) => <Kind of={entry} /> },
              {
                id: "what",
                title: "What",
                lead: true,
                sortable: true,
                cell: (entry) => (
                  <>
                    <What of={entry} />
                    {entry.notes && <span className="soft small entry-notes">{entry.notes}</span>}
                  </>
                ),
              },
              { id: "who", title: "Who", sortable: true, cell: ({ who }) => who },
              {
                id: "amount",
                title: "Amount",
                numeric: true,
                cell: ({ amount }) => (amount ? money(amount) : "no rate known"),
              },
              {
                id: "home",
                title: `In ${currency}`,
                numeric: true,
                sortable: true,
                cell: ({ home, rate }) => (
                  <>
                    {home ? money(home) : "no rate known"}
                    {rate && <span className="soft small entry-notes">at {rate}</span>}
                  </>
                ),
              },
              { id: "balance", title: "Owner's account", numeric: true, cell: ({ balance }) => money(balance) },
              {
                id: "controls",
                title: "",
                controls: true,
                cell: (entry) => <Controls of={entry} open={open} />,
              },
            ]}
            below={(entry) =>
              open.has(entry.id) &&
              isOwners(entry.kind) &&
              entry.amount && (
                <Opened>
                  <InvoiceForm
                    kind={entry.kind}
                    day={figuresFor}
                    wrong={{ ...entry, amount: entry.amount }}
                    onDone={done(entry.id)}
                  />
                </Opened>
              )
            }
            paging={
              <Paging
                of={paging}
                page={list.pageInfo}
                total={list.totalCount}
                shown={rows.length}
                noun="entry"
                plural="entries"
              />
            }
            empty={
              <p>
                {bare
                  ? "Nothing is entered yet. A payment is entered with its order on the part's sheet, hours on the work's, an invoice and a receipt here."
                  : "No entry matches."}
              </p>
            }
          />
        </div>
      )}
      <p className="soft">
        The owner's account is what was received less what was paid and the hours that were booked; work that is done
        and has no hours booked is estimated, and counts on Money alone. An entry stays as it was made: a correction
        writes one against it and the right one beside it.
      </p>
    </Section>
  );
}

function Kind({ of }: { of: Entry }) {
  return (
    <>
      {LEDGER_KIND[of.kind]}
      {of.takesBack && ", taken back"}
      {of.takenBack && ", corrected since"}
    </>
  );
}

function What({ of }: { of: Entry }): ReactNode {
  const { id } = useRestoration();
  const code = of.code && <span className="code">{of.code}</span>;
  const words = (
    <>
      {of.what} {code}
    </>
  );
  if (of.part) return <Link to={addressOf.part(id, of.part)}>{words}</Link>;
  if (of.operation) return <Link to={addressOf.operation(id, of.operation)}>{words}</Link>;
  if (of.snag) return <Link to={addressOf.snag(id, of.snag)}>{words}</Link>;
  return words;
}

/** An entry is put right where it was made: invoices and payments here, hours on the sheet of their work. */
function Controls({ of, open }: { of: Entry; open: ReturnType<typeof useOpen> }) {
  const { id } = useRestoration();
  const { save } = useSave();
  if (of.takesBack || of.takenBack || of.ofClub) return null;
  const name = <span className="unseen"> {`${LEDGER_KIND[of.kind]} of ${dateInFull(of.day)}, ${of.what}`}</span>;
  if (of.kind === "LABOUR" && of.operation)
    return (
      <Link className="button" to={addressOf.operation(id, of.operation)}>
        Correct{name}
      </Link>
    );
  const sheet = of.part
    ? addressOf.part(id, of.part)
    : of.operation
      ? addressOf.operation(id, of.operation)
      : of.snag && addressOf.snag(id, of.snag);
  const takeBack = () =>
    isOwners(of.kind)
      ? save(CorrectInvoice, { invoice: of.id, input: null })
      : save(CorrectPayment, { payment: of.id, input: null });
  return (
    <>
      {isOwners(of.kind) ? (
        <OpenButton of={open} opens={of.id}>
          Correct{name}
        </OpenButton>
      ) : (
        sheet && (
          <Link className="button" to={sheet}>
            Correct{name}
          </Link>
        )
      )}
      <button type="button" onClick={() => void takeBack()}>
        Take back{name}
      </button>
    </>
  );
}

function DayFilter({
  label,
  value,
  onChange,
}: {
  label: string;
  value: string;
  onChange: (value: string | null) => void;
}) {
  const id = useId();
  return (
    <div className="field">
      <label htmlFor={id}>{label}</label>
      <input id={id} type="date" value={value} onChange={(event) => onChange(event.target.value || null)} />
    </div>
  );
}
