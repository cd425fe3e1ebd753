// Reads when and where a picture was taken out of what the camera wrote into it (Exif 2.3, JEITA CP-3451C). Only asked for
// when somebody wants that kept. The few tags are read by hand: the libraries that read all of them bring twenty
// times as much, or have not been looked after for years. A file is a stranger's: every read is within its bytes or ends it.

export interface Taken { taken?: string; latitude?: number; longitude?: number }

/** Exif stands in front of the picture, in one segment of at most 64 kB, behind at most a few others. */
const READ = 512 << 10;

export async function taken(file: Blob): Promise<Taken> {
  try {
    return read(await file.slice(0, READ).arrayBuffer());
  } catch {
    return {}; // cut off, or not Exif at all
  }
}

export function read(bytes: ArrayBuffer): Taken {
  const at = start(new Uint8Array(bytes));
  if (at < 0) return {};
  const view = new DataView(bytes, at);
  const little = view.getUint16(0) === 0x4949;
  const first = directory(view, view.getUint32(4, little), little);
  const out: Taken = {};
  const exif = first.get(0x8769), gps = first.get(0x8825);
  const when = exif && moment(text(view, directory(view, view.getUint32(exif + 8, little), little).get(0x9003), little));
  if (when) out.taken = when;
  if (gps) Object.assign(out, place(view, directory(view, view.getUint32(gps + 8, little), little), little));
  return out;
}

/** start finds the TIFF header behind "Exif" (4.5.4, 4.7.2). */
function start(bytes: Uint8Array): number {
  for (let i = 0; i + 14 < bytes.length; i++) {
    if (bytes[i] !== 0x45 || bytes[i + 1] !== 0x78 || bytes[i + 2] !== 0x69 || bytes[i + 3] !== 0x66 || bytes[i + 4] || bytes[i + 5]) continue;
    const order = String.fromCharCode(...bytes.subarray(i + 6, i + 10));
    if (order === "MM\0*" || order === "II*\0") return i + 6;
  }
  return -1;
}

/** directory is where the entries of one directory are, by tag: twelve bytes each (4.6.2). */
function directory(view: DataView, at: number, little: boolean): Map<number, number> {
  const entries = new Map<number, number>();
  for (let n = view.getUint16(at, little), i = 0; i < n; i++) entries.set(view.getUint16(at + 2 + 12 * i, little), at + 2 + 12 * i);
  return entries;
}

/** text is an entry of letters; more than four stand elsewhere. */
function text(view: DataView, entry: number | undefined, little: boolean): string {
  if (entry === undefined) return "";
  const n = view.getUint32(entry + 4, little);
  const at = n > 4 ? view.getUint32(entry + 8, little) : entry + 8;
  let out = "";
  for (let i = 0; i < Math.min(n, 40); i++) out += String.fromCharCode(view.getUint8(at + i));
  return out;
}

/** moment turns DateTimeOriginal (4.6.5, F) into a moment on the site's wall clock. */
function moment(s: string): string | undefined {
  const m = /^(2[01]\d\d):(\d\d):(\d\d) (\d\d):(\d\d)/.exec(s);
  if (!m) return undefined;
  const day = `${m[1]}-${m[2]}-${m[3]}`;
  const real = new Date(`${day}T${m[4]}:${m[5]}:00Z`); // a day that is none is another one, or none
  return !Number.isNaN(real.getTime()) && real.toISOString().startsWith(day) ? `${day}T${m[4]}:${m[5]}` : undefined;
}

/** place is the position in millionths of a degree, north and east positive (4.6.6: GPSLatitudeRef to GPSLongitude). */
function place(view: DataView, gps: Map<number, number>, little: boolean): Taken {
  const latitude = degrees(view, gps.get(2), text(view, gps.get(1), little), little);
  const longitude = degrees(view, gps.get(4), text(view, gps.get(3), little), little);
  const fits = Math.abs(latitude) <= 90e6 && Math.abs(longitude) <= 180e6 && (latitude !== 0 || longitude !== 0); // NaN does not
  return fits ? { latitude, longitude } : {};
}

/** degrees adds up three rationals: degrees, minutes, seconds. Without a fix cameras write 0/0. */
function degrees(view: DataView, entry: number | undefined, ref: string, little: boolean): number {
  if (entry === undefined || view.getUint32(entry + 4, little) !== 3) return NaN;
  const at = view.getUint32(entry + 8, little);
  const part = (i: number) => view.getUint32(at + 8 * i, little) / view.getUint32(at + 8 * i + 4, little);
  const sum = Math.round((part(0) + part(1) / 60 + part(2) / 3600) * 1e6);
  return /^[SW]/.test(ref) ? -sum : sum;
}
