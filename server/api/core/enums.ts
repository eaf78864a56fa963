/** The choices of the store's rows, as GraphQL knows them. */
import * as enums from "../../generated/prisma/enums.ts";
import { builder } from "./builder.ts";

export const Role = builder.enumType(enums.Role, { name: "Role" });
export const OperationState = builder.enumType(enums.OperationState, { name: "OperationState" });
export const LagUnit = builder.enumType(enums.LagUnit, { name: "LagUnit" });
export const StateOnHand = builder.enumType(enums.StateOnHand, { name: "StateOnHand" });
export const LengthUnit = builder.enumType(enums.LengthUnit, { name: "LengthUnit" });
export const SupplierKind = builder.enumType(enums.SupplierKind, { name: "SupplierKind" });
export const Provenance = builder.enumType(enums.Provenance, { name: "Provenance" });
export const Incoterm = builder.enumType(enums.Incoterm, { name: "Incoterm" });
export const ChargeShare = builder.enumType(enums.ChargeShare, { name: "ChargeShare" });
export const Condition = builder.enumType(enums.Condition, { name: "Condition" });
export const CustomsBasis = builder.enumType(enums.CustomsBasis, { name: "CustomsBasis" });
export const DimensionNature = builder.enumType(enums.DimensionNature, { name: "DimensionNature" });
export const OrderState = builder.enumType(enums.OrderState, { name: "OrderState" });
export const PaymentKind = builder.enumType(enums.PaymentKind, { name: "PaymentKind" });
export const InvoiceKind = builder.enumType(enums.InvoiceKind, { name: "InvoiceKind" });
export const DecisionKind = builder.enumType(enums.DecisionKind, { name: "DecisionKind" });
export const DecisionState = builder.enumType(enums.DecisionState, { name: "DecisionState" });
export const BatchState = builder.enumType(enums.BatchState, { name: "BatchState" });
export const BatchBasis = builder.enumType(enums.BatchBasis, { name: "BatchBasis" });
export const DepositState = builder.enumType(enums.DepositState, { name: "DepositState" });
export const ClubRowKind = builder.enumType(enums.ClubRowKind, { name: "ClubRowKind" });
export const SupplyState = builder.enumType("SupplyState", {
  description:
    "In hand; no source: nobody quotes it and no order is out; undecided: quoted, none chosen; to order: chosen, not ordered; ordered; late: ordered and past the promise; arrived: it has come and is still to be tried.",
  values: ["IN_HAND", "NO_SOURCE", "HUNTED", "UNDECIDED", "TO_ORDER", "ORDERED", "LATE", "ARRIVED"] as const,
});
