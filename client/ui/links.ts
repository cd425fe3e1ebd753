// The addresses of the crews' pages that this phone made. Whoever has one answers for the crew, so they
// stay here: in no log, no backup, no export. The engine gets them with a request for texts, and forgets.
import { job, status } from "./bridge";
import { CREW_LIFE, lasting, stillGood, type Link } from "./lasting";
import { read, write } from "./state";

export const stem = () => `bb.crew.${status.value.site}.`;

/** linkOf is the address this phone knows of a crew's page. */
export const linkOf = (crew: string): Link | undefined => stillGood(read(stem() + crew));

export const keepLink = (crew: string, link: Link | undefined, at = stem()) => write(at + crew, link ? JSON.stringify(link) : "");

/** makeLink asks the server for an address; it needs signal. anew ends the old ones. */
export async function makeLink(crew: string, anew = false): Promise<Link> {
  const at = stem(); // another site may be open when the answer comes
  const kept = lasting(await job<Link>({ to: "crewLink", crew, anew }), CREW_LIFE);
  keepLink(crew, kept, at);
  return kept;
}

/** pages are all addresses this phone knows, by crew. */
export function pages(): Record<string, string> {
  const all: Record<string, string> = {};
  try {
    for (const key of Object.keys(localStorage)) {
      if (!key.startsWith(stem())) continue;
      const crew = key.slice(stem().length);
      const link = linkOf(crew);
      if (link) all[crew] = link.url;
    }
  } catch { /* no storage: no links */ }
  return all;
}
