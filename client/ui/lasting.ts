// How long a phone keeps an address that the server gave it. The server says until when by its clock; on a
// phone whose clock runs ahead that may be over already, and the address good for months.

export interface Link { url: string; until: number }

const DAY = 86_400_000;

/** The server ends a crew's link after 120 days and the owner's own after 400; a phone lets go two days before. */
export const CREW_LIFE = 118 * DAY;
export const OWN_LIFE = 398 * DAY;

/** lasting is a link that has just come, good for its whole life by this phone's own clock. */
export const lasting = (link: Link, life: number, now = Date.now()): Link => ({ url: link.url, until: Math.max(link.until, now + life) });

/** stillGood reads a link as it was kept; none when it is over, or was never there. */
export function stillGood(text: string, now = Date.now()): Link | undefined {
  try {
    const link = JSON.parse(text) as Link;
    return link.until > now ? link : undefined;
  } catch { return undefined; }
}
