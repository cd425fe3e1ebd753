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

// The nights are those of the time zone database: half an hour more than others, a change by half an hour, winter time
// as the exception, a change at midnight.
test("the wall clock in nights in which clocks change, on leap days and at the turn of the year", () => {
  for (const [at, zone, want] of [
    ["2027-03-14T09:59:59Z", "America/Los_Angeles", "2027-03-14T01:59"],
    ["2027-03-14T10:00:00Z", "America/Los_Angeles", "2027-03-14T03:00"],
    ["2027-11-07T08:30:00Z", "America/Los_Angeles", "2027-11-07T01:30"],
    ["2027-11-07T09:30:00Z", "America/Los_Angeles", "2027-11-07T01:30"],
    ["2027-10-31T00:30:00Z", "Europe/Dublin", "2027-10-31T01:30"],
    ["2027-10-31T01:30:00Z", "Europe/Dublin", "2027-10-31T01:30"],
    ["2027-10-02T15:30:00Z", "Australia/Lord_Howe", "2027-10-03T02:30"],
    ["2027-09-05T04:00:00Z", "America/Santiago", "2027-09-05T01:00"],
    ["2028-02-28T18:30:00Z", "Asia/Kolkata", "2028-02-29T00:00"],
    ["2027-12-31T18:14:59Z", "Asia/Kathmandu", "2027-12-31T23:59"],
    ["2027-12-31T18:15:00Z", "Asia/Kathmandu", "2028-01-01T00:00"],
    ["2027-12-31T10:00:00Z", "Pacific/Kiritimati", "2028-01-01T00:00"],
  ]) assert.equal(civil(new Date(at!), zone), want, `${at} in ${zone}`);
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
