import assert from "node:assert/strict";
import { test } from "node:test";
import { codeOf, misread } from "./code";

test("a code is found in whatever was typed around it", () => {
  for (const text of ["ED68-YKXJ", "ed68 ykxj", " ED68YKXJ\n", "e d 6 8 – y k x j", "ED68.YKXJ.", "http://10.0.0.7:8080/#/pair/ED68YKXJ", "Come in: https://site.example/#/pair/ed68-ykxj\nMarit"])
    assert.equal(codeOf(text), "ED68YKXJ", text);
  assert.equal(codeOf(" - "), "");
});

test("what cannot stand in a code is seen before the server is asked", () => {
  for (const code of ["ED68YKX0", "EDO8YKXJ", "1D68YKXJ", "IIIIIIII"]) assert.ok(misread(code), code);
  // the letters of server/codes.go
  assert.ok(!misread("23456789ABCDEFGHJKLMNPQRSTUVWXYZ"));
});
