// The screen has the only clock of the client; everything behind it is told the time.
import type { Minute, PlainDay } from "./view";

/** civil writes a moment as a wall clock in the zone shows it: 2027-03-02T06:40. */
export function civil(at: Date, zone?: string): Minute {
  if (!zone) return local(at);
  let parts: Intl.DateTimeFormatPart[];
  try {
    parts = format(zone).formatToParts(at);
  } catch {
    return local(at); // a zone this phone has never heard of
  }
  const p = Object.fromEntries(parts.map((x) => [x.type, x.value]));
  return `${p.year}-${p.month}-${p.day}T${p.hour}:${p.minute}`;
}

/** local is the phone's own wall clock. */
const local = (at: Date): Minute => minuteText(Math.floor((at.getTime() - at.getTimezoneOffset() * MINUTE) / MINUTE));

const formats = new Map<string, Intl.DateTimeFormat>();

function format(zone: string): Intl.DateTimeFormat {
  let f = formats.get(zone);
  if (!f) {
    f = new Intl.DateTimeFormat("en-CA", {
      timeZone: zone, calendar: "iso8601", numberingSystem: "latn", hourCycle: "h23",
      year: "numeric", month: "2-digit", day: "2-digit", hour: "2-digit", minute: "2-digit",
    });
    formats.set(zone, f);
  }
  return f;
}

const MINUTE = 60_000;
export const DAY_MINUTES = 24 * 60;

/** minutes counts a civil moment from 1970 as if it were UTC: only differences matter. */
export const minutes = (m: Minute) => Date.parse(`${m}:00Z`) / MINUTE;
export const dayStart = (d: PlainDay) => Date.parse(`${d}T00:00Z`) / MINUTE;
export const minuteText = (m: number): Minute => new Date(m * MINUTE).toISOString().slice(0, 16);
export const dayText = (m: number): PlainDay => minuteText(m).slice(0, 10);
/** weekday counts from Monday = 0. */
export const weekday = (d: PlainDay) => (new Date(`${d}T00:00Z`).getUTCDay() + 6) % 7;
export const clockText = (min: number) => `${String(Math.floor(min / 60)).padStart(2, "0")}:${String(min % 60).padStart(2, "0")}`;
export const clockMinutes = (s: string) => Number(s.slice(0, 2)) * 60 + Number(s.slice(3, 5));
