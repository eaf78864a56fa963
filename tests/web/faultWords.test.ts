/** What a fault says beside the field in which it lies. */
import { expect, it } from "vitest";
import { faultWords } from "../../web/shared/fault.ts";

it("ends in one mark, also where it asks", () => {
  const asks = { message: "after is no operation here.", complaint: "is no operation here: is it “Strip”?" };
  expect(faultWords(asks, "Comes after")).toBe("Comes after is no operation here: is it “Strip”?");
  expect(faultWords({ message: "hours must be given.", complaint: "must be given" }, "Hours")).toBe(
    "Hours must be given.",
  );
});
