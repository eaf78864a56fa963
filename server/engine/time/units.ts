/** Units are types, so that a day cannot be added to an hour by mistake. Conversions are named functions. */
declare const unit: unique symbol;
type Unit<Name extends string> = number & { readonly [unit]: Name };

/** Working hours on the shop calendar, counted from the opening of the day of the figures; negative lies before it. */
export type Hours = Unit<"hours">;
/** Calendar days counted from the day of the figures (a whole number names a date). */
export type Days = Unit<"days">;

export const hours = (n: number): Hours => n as Hours;
export const days = (n: number): Days => n as Days;

/** Two instants closer than this are the same instant: 3.6 milliseconds, far above rounding error and far below any booking. */
export const SAME_INSTANT = 1e-6;
