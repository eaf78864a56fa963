/** Lists of states that sheets ask for. */
import { expect, it } from "vitest";
import { NOT_COME, NOT_IN_HAND, SUPPLY_STATE } from "../../web/shared/words.ts";

it("'not in hand' is every state but that one, with what has come and is to be tried; that is looked for no more", () => {
  expect([...NOT_IN_HAND, "IN_HAND"].sort()).toEqual(Object.keys(SUPPLY_STATE).sort());
  expect(NOT_IN_HAND.filter((state) => !NOT_COME.includes(state))).toEqual(["ARRIVED"]);
});
