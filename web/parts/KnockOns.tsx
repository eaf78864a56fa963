import { currencyChoices, useFormCurrency } from "../shared/currency.ts";
import { useRestoration } from "../shared/restoration.ts";
import { choicesOf, LENGTH_UNIT } from "../shared/words.ts";
import { ListField } from "./ListField.tsx";

/** What else has to be bought or done if this quote is taken. */
export function KnockOns() {
  const restoration = useRestoration();
  const { currency } = useFormCurrency(restoration);
  return (
    <ListField
      name="knockOns"
      noun="knock-on"
      blank={{ title: "", priceMinor: "", currency, hours: "0", points: "0" }}
      columns={[
        { name: "title", label: "What" },
        { name: "priceMinor", label: "Price", numeric: true },
        {
          name: "currency",
          label: "Currency",
          choices: currencyChoices(restoration).map(({ value }) => ({ value, label: value })),
        },
        { name: "hours", label: "Shop hours", numeric: true },
        { name: "points", label: "Points lost", numeric: true },
      ]}
    />
  );
}

/** Measurements given by the supplier; those of the specification are asked for by name. */
export function StatedDimensions() {
  return (
    <>
      <p className="soft small">Left blank, a dimension is not stated.</p>
      <ListField
        name="statedDimensions"
        noun="dimension"
        blank={{ dimension: "", value: "", unit: "MM" }}
        columns={[
          { name: "dimension", label: "Dimension" },
          { name: "value", label: "As stated", numeric: true },
          { name: "unit", label: "Unit", choices: choicesOf(LENGTH_UNIT) },
        ]}
      />
    </>
  );
}
