/** The whole schema: every noun's file adds its types, queries and mutations to the builder. */
import "./account.ts";
import "./change.ts";
import "./choices.ts";
import "./currency.ts";
import "./dayFigures.ts";
import "./exchangeRate.ts";
import "./find.ts";
import "./holdUps.ts";
import "./hours.ts";
import "./inspection.ts";
import "./job.ts";
import "./judgingSheet.ts";
import "./link.ts";
import "./need.ts";
import "./operation.ts";
import "./operationWay.ts";
import "./order.ts";
import "./part.ts";
import "./quote.ts";
import "./restoration.ts";
import "./shopCalendar.ts";
import "./snag.ts";
import "./supplier.ts";
import "./thread.ts";
import "./walkAway.ts";
import { builder } from "./builder.ts";

export const schema = builder.toSchema();
