import assert from "node:assert/strict";
import { test } from "node:test";
import { civil, clockMinutes, clockText, dayStart, minuteText, minutes, weekday } from "./clock";

test("the site's wall clock, not the phone's", () => {
  const at = new Date("2027-04-06T13:40:00Z");
  assert.equal(civil(at, "America/Los_Angeles"), "2027-04-06T06:40");
  assert.equal(civil(at, "Asia/Kolkata"), "2027-04-06T19:10");
  assert.equal(civil(new Date("2027-01-01T05:00:00Z"), "America/Los_Angeles"), "2026-12-31T21:00");
  assert.equal(civil(new Date("2027-01-01T08:00:00Z"), "America/Los_Angeles"), "2027-01-01T00:00"); // midnight is 00, not 24
});

test("a zone nobody knows falls back to the phone's own", () => {
  assert.match(civil(new Date(), "Nowhere/At_All"), /^\d{4}-\d\d-\d\dT\d\d:\d\d$/);
});

test("minutes and days are counted without a zone", () => {
  assert.equal(minuteText(minutes("2027-03-14T02:30")), "2027-03-14T02:30"); // the hour that summer time skips
  assert.equal(minutes("2027-04-07T00:00") - dayStart("2027-04-06"), 1440);
  assert.equal(weekday("2027-04-05"), 0); // a Monday, by any calendar on a wall
  assert.equal(weekday("1970-01-01"), 3); // a Thursday
  assert.equal(clockText(clockMinutes("16:30")), "16:30");
});
