/** What must be on record before a part counts as fitted: the same rule for files as for the screens. */

import { codeInWords } from "../store/codes.ts";
import { cellFault, type Faults } from "./given.ts";
import type { Held } from "./held.ts";

/** Adds a fault for each operation called done that fits a safety-critical part of which no inspection is on record. */
export function missingInspections(held: Held, faults: Faults): void {
  const inspected = new Set(held.get("inspection")!.map((row) => row.values["part"]));
  const parts = new Map(held.get("part")!.map((row) => [row.values["code"], row]));
  const operations = new Map(held.get("operation")!.map((row) => [row.values["code"], row]));
  for (const need of held.get("need")!) {
    const part = parts.get(need.values["part"]!);
    const operation = operations.get(need.values["operation"]!);
    if (
      operation?.values["state"] !== "DONE" ||
      part?.values["safetyCritical"] !== true ||
      inspected.has(part.values["code"]!)
    )
      continue;
    // Only what the files give is at fault; what stood before stands.
    const given = [operation, part, need].find((row) => row.at !== null);
    if (!given) continue;
    const code = String(part.values["code"]);
    const file = given === operation ? "operations.csv" : given === part ? "parts.csv" : "needs.csv";
    faults.add(
      cellFault(
        file,
        given.at!,
        given === operation ? "state" : "part",
        given === operation ? "done" : code,
        "REQUIRED",
        `calls for an inspection: ${codeInWords("operation", String(operation.values["code"]))} is done and fits the safety-critical part ${code}, so inspections.csv needs a line for it`,
      ),
    );
  }
}
