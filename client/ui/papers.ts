// Makes of a file that somebody chose a paper that is kept, or says why not. PDFs and texts stay as they are;
// pictures are drawn anew, which leaves behind where they were taken, large enough that a plan can be read.
import { plainPNG, typeOf, wholePDF, type Kept } from "./filetype";
import { jpeg, paint, sizes } from "./shrink";

/** MaxPaper, MaxPicture and PaperSide of sync/limits.go. */
const MOST = 12 << 20;
const PICTURE = 3 << 20;
const SIDE = 4096;
/** Pictures are read whole before they are made smaller; no camera writes more. */
const READ = 64 << 20;

export interface Made { bytes: ArrayBuffer; type: Kept }
/** Why a file is not kept: a word of words/papers.ts. */
export type Why = "empty" | "large" | "kind" | "cut" | "heic" | "unreadable";

export async function paperOf(file: Blob): Promise<Made | Why> {
  if (!file.size) return "empty";
  if (file.size > READ) return "large";
  const bytes = await file.arrayBuffer().catch(() => undefined);
  if (!bytes) return "unreadable"; // in a cloud, and no signal
  const seen = new Uint8Array(bytes);
  const type = typeOf(seen);
  switch (type) {
    case "": return "kind";
    case "application/pdf": return seen.length > MOST ? "large" : wholePDF(seen) ? { bytes, type } : "cut";
    case "text/plain": return seen.length > PICTURE ? "large" : { bytes, type };
    default: return (await redrawn(new Blob([bytes]), type === "image/jpeg").catch(() => undefined)) ?? (type === "heic" ? "heic" : "unreadable");
  }
}

/**
 * redrawn scales a picture to what is kept of a plan. Lines and letters pack well as PNG and stay sharp; what does
 * not get small that way is a photograph, and goes as JPEG.
 */
async function redrawn(file: Blob, photo: boolean): Promise<Made> {
  const picture = await createImageBitmap(file, { imageOrientation: "from-image" });
  try {
    const { wide, high } = sizes(picture.width, picture.height, SIDE);
    const canvas = paint(picture, wide, high);
    const sharp = photo ? null : await new Promise<Blob | null>((done) => canvas.toBlob(done, "image/png"));
    if (sharp && sharp.size <= PICTURE) return { bytes: plainPNG(await sharp.arrayBuffer()), type: "image/png" };
    return { bytes: await (await jpeg(canvas)).arrayBuffer(), type: "image/jpeg" };
  } finally {
    picture.close();
  }
}
