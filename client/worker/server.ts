// The few questions that go over plain HTTP: who am I, let me in, let somebody else in.
import type { DeviceLine, Invitation, Trouble } from "./messages";

export interface Me {
  device?: string;
  name?: string;
  demo?: boolean;
  sites?: { id: string; name: string; num: number; role: string }[];
  spares?: Spare[];
  senders?: string[];
}
export type Spare = string | { id: string; num?: number };
export interface Paired extends Me { site: string; num: number; role: string; recovery?: string }

/** Said is a refusal with a sentence, or the silence of a phone without signal. */
export class Said extends Error {
  constructor(readonly trouble: Trouble, readonly status = 0, readonly body: Me = {}) { super(trouble.text ?? trouble.code); }
}

const offline = () => { throw new Said({ code: "offline" }); };

/** An answer that takes longer never comes: the network took the question and keeps it. */
const PATIENCE = 60_000;

/** call is fetch, and without signal says so. */
const call = (path: string, how: RequestInit) => fetch(path, { ...how, signal: AbortSignal.timeout(PATIENCE) }).catch(offline);

/** read takes an answer apart. Half of one, or the page of a network that wants a login first, is no answer. */
const read = <T>(answer: Response) => (answer.json() as Promise<T>).catch(offline);

async function refusal(answer: Response): Promise<never> {
  const told = (await answer.json().catch(() => ({}))) as Me & { error?: string; code?: string };
  throw new Said({ code: "said", text: told.error ?? `${answer.status}`, told: told.code }, answer.status, told);
}

async function ask<T>(path: string, body?: unknown): Promise<T> {
  const answer = await call(path, body === undefined
    ? { cache: "no-store" }
    : { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(body) });
  return answer.ok ? read<T>(answer) : refusal(answer);
}

// ---- pictures

const photoURL = (site: string, file: string) => `/api/photo/${file}?site=${encodeURIComponent(site)}`;

/** photo fetches a file, or its bytes from `from` up to `to`. */
export async function photo(site: string, file: string, from = 0, to = 0): Promise<ArrayBuffer> {
  const answer = await call(photoURL(site, file), to ? { headers: { Range: `bytes=${from}-${to - 1}` }, cache: "no-store" } : {});
  return answer.ok ? answer.arrayBuffer().catch(offline) : refusal(answer);
}

/** photoPiece sends a piece and returns how much the server has then. */
export async function photoPiece(site: string, file: string, at: number, of: number, piece: ArrayBuffer): Promise<number> {
  const answer = await call(`${photoURL(site, file)}&at=${at}&of=${of}`,
    { method: "PUT", headers: { "Content-Type": "application/octet-stream" }, body: piece });
  return answer.ok ? (await read<{ have: number }>(answer)).have : refusal(answer);
}

export const photoLacks = async (site: string, files: string[]) =>
  (await ask<{ lacks: Record<string, number> }>("/api/photos/lacks", { site, files })).lacks;

export const me = () => ask<Me>("/api/me");
export const pair = (code: string, name: string) => ask<Paired>("/api/pair", { code, name });
export const demo = (name: string) => ask<Paired>("/api/demo", { name });
export const invite = (site: string, role: string) => ask<Invitation>("/api/invite", { site, role });
export const crewLink = (site: string, crew: string, anew: boolean) => ask<{ url: string; until: number }>("/api/crewlink", { site, crew, anew });
export const crewUnlink = (site: string, crew: string) => ask<unknown>("/api/crewlink/revoke", { site, crew });
export const feedLink = (site: string, anew: boolean) => ask<{ url: string; until: number }>("/api/feedlink", { site, anew });
export const feedUnlink = (site: string) => ask<unknown>("/api/feedlink/revoke", { site });
export const push = (site: string) => ask<{ key: string; on: boolean; endpoint: string }>(`/api/push?site=${encodeURIComponent(site)}`);
export const pushOn = (site: string, to: { endpoint: string; p256dh: string; auth: string; lang: string }) => ask<unknown>("/api/push", { site, ...to });
export const pushOff = (site: string) => ask<unknown>("/api/push/off", { site });
export const revoke = (site: string, device: string) => ask<unknown>("/api/revoke", { site, device });
export const name = (site: string, name: string) => ask<unknown>("/api/name", { site, name });
export const devices = async (site: string): Promise<DeviceLine[]> => {
  return (await ask<{ devices: DeviceLine[] }>(`/api/devices?site=${encodeURIComponent(site)}`)).devices;
};
