// What crosses between the screen and the worker. Small on purpose: the state lives in the worker,
// only intents go in and the view of one screen comes out, as the text the engine wrote.
import type { Request } from "../ui/view";
import type { Taken } from "../ui/camera";

/** An intent or a wish to see a screen; the worker adds nothing but the order. */
export type Intent = Omit<Request, "now" | "wall" | "ops" | "meta" | "names" | "frame" | "device" | "role">;

/** The screen's clock goes with every message: the worker and the engine have none. The worker makes the
 * wall clock of the site's zone of it, since the browser's tables of zones take their time to open. */
export interface Clock { now: string; wall: number }
/** seen is the site on the screen: what is asked there is meant for it and no other. */
export interface Told { wall: number; zone: string; seen: string }

export type Job =
  /** invited: this phone was opened with a code in its hand, to be let in somewhere */
  | { to: "start"; lang: string; site: string; invited: boolean }
  | { to: "engine"; req: Intent }
  | { to: "open"; site: string }
  | { to: "lang"; lang: string }
  | { to: "pair"; code: string; name: string }
  | { to: "demo"; name: string }
  | { to: "born"; name: string }
  | { to: "invite"; role: string }
  | { to: "crewLink"; crew: string; anew: boolean }
  | { to: "crewUnlink"; crew: string }
  | { to: "feedLink"; anew: boolean }
  | { to: "feedUnlink" }
  | { to: "push" }
  | { to: "pushOn"; endpoint: string; p256dh: string; auth: string; lang: string }
  | { to: "pushOff" }
  | { to: "devices" }
  | { to: "revoke"; device: string }
  | { to: "name"; name: string }
  | { to: "forget"; site: string }
  | { to: "backup" }
  /** taken: when and where the camera took it, where that is wanted kept */
  | { to: "photo"; on: string; said: string; big: ArrayBuffer; small: ArrayBuffer; wide: number; high: number; taken?: Taken; req: Intent }
  | { to: "paper"; on: string; name: string; bytes: ArrayBuffer; type: string; req: Intent }
  /** picture asks for the bytes of a photo or a paper */
  | { to: "picture"; file: string }
  | { to: "useHere" }
  | { to: "online" };

export type Ask = Job & Told & { n: number };

export interface Answer { n: number; view?: string; value?: unknown; error?: Trouble }

/** Why something could not be done: a word the screen has a sentence for, or the server's sentence. */
export interface Trouble { code: "offline" | "stumbled" | "elsewhere" | "noSpare" | "noStore" | "newer" | "noRoom" | "cutShort" | "otherSite" | "said"; text?: string; told?: string }

export interface SiteLine { id: string; name: string; role: string; num: number; born?: boolean; unsent?: number } // unsent: when it was left for another

export interface Status {
  phase: "starting" | "elsewhere" | "none" | "open" | "broken";
  why?: Trouble;
  site: string;
  sites: SiteLine[];
  link: "off" | "trying" | "on";
  /** paired: the server knows this phone on the open site; revoked: it no longer does, what is saved here stays. */
  known: "unsure" | "no" | "paired" | "revoked";
  /** full: the last thing that was to be kept found no room on this phone */
  full: boolean;
  /** held: the server is there, and takes nothing just now */
  held: boolean;
  demo: boolean;
  spares: number;
  /** ways out for texts that the server has, as far as this phone knows */
  senders: string[];
  /** pictures and papers of this phone that the server does not have yet */
  pictures: number;
  /** so many of them the server does not take, and why */
  untaken?: { n: number; why: Trouble };
}

export type Push = { push: "status"; status: Status } | { push: "changed" } | { push: "said"; text: string } | { push: "pictures" };

export interface Invitation { code: string; url: string }
export interface DeviceLine { device: string; num: number; name: string; role: string; you?: boolean; gone?: boolean }
