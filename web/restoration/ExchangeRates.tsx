import { useEffect } from "react";
import { useQuery } from "urql";
import { currencyChoices } from "../shared/currency.ts";
import { ChoiceFilter } from "../shared/Filters.tsx";
import { counted, dateInFull } from "../shared/format.ts";
import { useKept } from "../shared/kept.ts";
import { OpenButton, Opened, useOpen } from "../shared/Opened.tsx";
import { Loading, Problem } from "../shared/Page.tsx";
import { Paging, useAddressValue, usePaging } from "../shared/paging.tsx";
import { RemoveButton } from "../shared/RemoveButton.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { type Column, Table } from "../shared/Table.tsx";
import { useAddress } from "../shared/useAddress.ts";
import { type ExchangeRate, ExchangeRatesQuery } from "./exchangeRate.ts";
import { RateForm } from "./RateForm.tsx";
import { RateImport } from "./RateImport.tsx";

const LISTED = 15;

/** What was asked for elsewhere: the address then carries the pair and the day. */
const ASKED = ["rateFrom", "rateTo", "rateOn"] as const;

/** What currencies cost in each other, and from which day: landed costs go by these. */
export function ExchangeRates() {
  const restoration = useRestoration();
  const [params, change] = useAddress();
  const [currency, setCurrency] = useAddressValue("currency", ["rates"]);
  const paging = usePaging("rates", LISTED);
  const open = useOpen();
  const [base, counter, date] = ASKED.map((name) => params.get(name));
  const asked = base !== null || counter !== null;
  const askedKey = `${base} ${counter} ${date}`;
  const [result, again] = useQuery({
    query: ExchangeRatesQuery,
    variables: { restoration: restoration.id, currency, first: LISTED, after: paging.variables.after ?? null },
  });
  const found = useKept(result.data, restoration.id)?.restoration;
  // biome-ignore lint/correctness/useExhaustiveDependencies: another pair asked for opens the form anew
  useEffect(() => {
    if (asked) open.open("new");
  }, [asked, askedKey]);
  const closeNew = () => {
    open.close("new");
    if (asked)
      change(
        (next) => {
          for (const name of ASKED) next.delete(name);
        },
        { replace: true },
      );
  };
  if (!found)
    return result.error ? (
      <Problem of={result.error} what="the rates" again={() => again({ requestPolicy: "network-only" })} />
    ) : (
      <Loading what="the rates" />
    );
  const total = found.all.totalCount;
  const newest = found.all.edges[0]?.node.date;
  const { exchangeRates } = found;
  return (
    <>
      <p className="prose">
        {total === 0
          ? "No rate is entered: what is priced in another currency has no landed cost until there is one. "
          : `${counted(total, "rate")}, the newest of ${newest ? dateInFull(newest) : "no day"}. Landed costs go by the newest on or before the day the figures are for. `}
        Rates belong to the workshop: all its restorations go by them.
      </p>
      <div className="row no-print">
        <OpenButton of={open} opens="new">
          Add a rate
        </OpenButton>
        <OpenButton of={open} opens="table">
          Take rates from a table
        </OpenButton>
      </div>
      {open.has("new") && (
        <Opened key={askedKey}>
          <RateForm
            {...(asked ? { asked: { base: base ?? null, counter: counter ?? null, date: date ?? null } } : {})}
            onSaved={closeNew}
            onCancel={closeNew}
          />
        </Opened>
      )}
      {open.has("table") && (
        <Opened>
          <RateImport onDone={() => open.close("table")} />
        </Opened>
      )}
      {total > 0 && (
        <Table
          caption="Exchange rates, the newest first"
          rows={exchangeRates.edges.map(({ node }) => node)}
          columns={columnsOf(open)}
          rowKey={({ id }) => id}
          filters={
            <ChoiceFilter
              label="Rates to or from"
              all="all currencies"
              value={currency}
              onChange={setCurrency}
              choices={currencyChoices(restoration)}
            />
          }
          below={(rate) =>
            open.has(rate.id) && (
              <Opened>
                <RateForm rate={rate} onSaved={() => open.close(rate.id)} onCancel={() => open.close(rate.id)} />
              </Opened>
            )
          }
          paging={
            <Paging
              of={paging}
              page={exchangeRates.pageInfo}
              total={exchangeRates.totalCount}
              shown={exchangeRates.edges.length}
              noun="rate"
            />
          }
          empty={<p className="soft">No rate to or from {currency} is entered.</p>}
        />
      )}
    </>
  );
}

const columnsOf = (open: ReturnType<typeof useOpen>): Column<ExchangeRate>[] => [
  {
    id: "date",
    title: "Holds from",
    lead: true,
    cell: ({ date }) => (
      <time className="nowrap" dateTime={date}>
        {dateInFull(date)}
      </time>
    ),
  },
  { id: "pair", title: "Pair", cell: ({ base, counter }) => `1 ${base} in ${counter}` },
  { id: "rate", title: "Rate", numeric: true, cell: ({ rate }) => rate },
  {
    id: "controls",
    title: "",
    controls: true,
    cell: (rate) => {
      const what = `the rate from ${rate.base} to ${rate.counter} of ${dateInFull(rate.date)}`;
      return (
        <>
          <OpenButton of={open} opens={rate.id}>
            Change<span className="unseen"> {what}</span>
          </OpenButton>
          <RemoveButton row="EXCHANGE_RATE" id={rate.id} revision={rate.revision} what={what} />
        </>
      );
    },
  },
];
