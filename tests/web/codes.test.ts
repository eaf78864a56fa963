/** Codes on the sheets: said and sorted as the server says and sorts them. */
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import * as server from "../../server/store/codes.ts";
import { codeInWords, compareCodes } from "../../web/shared/Code.tsx";

const anyCode = fc.oneof(fc.string({ maxLength: 8 }), fc.stringMatching(/^[A-Za-zÉé]{0,3}-?0{0,2}\d{0,4}(-\d{1,3})?$/));

describe("codes on the sheets", () => {
  it("stand in the server's order", () => {
    fc.assert(
      fc.property(anyCode, anyCode, (one, other) => {
        expect(compareCodes(one, other)).toBe(server.compareCodes(one, other));
      }),
    );
    expect(["b-2", "B-10", "a", "10", "2", "07", "7"].sort(compareCodes)).toEqual(
      ["b-2", "B-10", "a", "10", "2", "07", "7"].sort(server.compareCodes),
    );
  });

  it("are said in the server's words", () => {
    fc.assert(
      fc.property(anyCode, (code) => {
        expect(codeInWords("quote", code)).toBe(server.codeInWords("quote", code));
      }),
    );
  });
});
