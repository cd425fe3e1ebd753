// Makes of any picture the phone can read a JPEG of bearable size and a small copy. Drawing it anew leaves
// everything else behind that the camera wrote into the file, the place above all.

/** The longer sides in pixels, and the most bytes the server takes: PictureSide, SmallSide and MaxPicture of sync/limits.go. */
const SIDE = 2048;
const SMALL = 320;
const MOST = 3 << 20;

export interface Shrunk { big: ArrayBuffer; small: ArrayBuffer; wide: number; high: number }

export async function shrink(file: Blob): Promise<Shrunk> {
  const picture = await createImageBitmap(file, { imageOrientation: "from-image" });
  try {
    const { wide, high } = sizes(picture.width, picture.height, SIDE);
    const big = await jpeg(paint(picture, wide, high));
    const mini = sizes(picture.width, picture.height, SMALL);
    const small = await jpeg(paint(picture, mini.wide, mini.high));
    return { big: await big.arrayBuffer(), small: await small.arrayBuffer(), wide, high };
  } finally {
    picture.close();
  }
}

/** sizes fits a picture into a square, whole and never enlarged. */
export function sizes(width: number, height: number, side: number): { wide: number; high: number } {
  const by = Math.min(1, side / Math.max(width, height));
  return { wide: Math.max(1, Math.round(width * by)), high: Math.max(1, Math.round(height * by)) };
}

/** paint draws a picture on white paper: JPEG knows no glass. */
export function paint(picture: ImageBitmap, wide: number, high: number): HTMLCanvasElement {
  const canvas = document.createElement("canvas");
  canvas.width = wide;
  canvas.height = high;
  const pen = canvas.getContext("2d")!;
  pen.fillStyle = "#fff";
  pen.fillRect(0, 0, wide, high);
  pen.imageSmoothingQuality = "high";
  pen.drawImage(picture, 0, 0, wide, high);
  return canvas;
}

export async function jpeg(canvas: HTMLCanvasElement): Promise<Blob> {
  for (const quality of [0.8, 0.6, 0.4]) {
    const blob = await new Promise<Blob | null>((done) => canvas.toBlob(done, "image/jpeg", quality));
    if (blob && blob.size <= MOST) return blob;
  }
  throw new Error("this picture does not get small enough");
}
