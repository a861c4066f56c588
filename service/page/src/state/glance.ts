/** What a browser sees of a photo by itself, whatever its letters. */
export interface Glance {
  width: number;
  height: number;
  /** Left out where nothing speaks against it. */
  kind?: "blurred" | "dark";
}

/** Longest side that is looked at, pixels: enough for blur, little enough for an old phone. */
const SIDE = 1024;
/** Mean brightness of 255 below which nothing is to be seen. */
const DARK = 18;
/** The sharpest part of a photo that is in focus has at least this, in grey levels. */
const SHARP = 3;
/** Tiles along each side: the plate may fill a part of the frame only. */
const TILES = 8;

/**
 * Looks for the sharpest part of the photo: strokes of letters give strong second
 * differences, a blurred photo gives none anywhere. It warns only where nothing is sharp.
 */
export async function glance(photo: Blob): Promise<Glance> {
  const picture = await createImageBitmap(photo, { imageOrientation: "from-image" });
  const whole = { width: picture.width, height: picture.height };
  const scale = Math.min(1, SIDE / Math.max(picture.width, picture.height));
  const width = Math.round(picture.width * scale);
  const height = Math.round(picture.height * scale);
  const canvas = new OffscreenCanvas(width, height);
  const context = canvas.getContext("2d", { willReadFrequently: true });
  if (!context) return whole;
  context.drawImage(picture, 0, 0, width, height);
  picture.close();
  const { data } = context.getImageData(0, 0, width, height);
  const grey = new Float32Array(width * height);
  let light = 0;
  for (let i = 0; i < grey.length; i++) {
    const value = 0.3 * (data[4 * i] ?? 0) + 0.59 * (data[4 * i + 1] ?? 0) + 0.11 * (data[4 * i + 2] ?? 0);
    grey[i] = value;
    light += value;
  }
  if (light / grey.length < DARK) return { ...whole, kind: "dark" };
  let sharpest = 0;
  for (let ty = 0; ty < TILES; ty++) {
    for (let tx = 0; tx < TILES; tx++) {
      sharpest = Math.max(sharpest, edges(grey, width, height, tx, ty));
    }
  }
  return sharpest < SHARP ? { ...whole, kind: "blurred" } : whole;
}

/** Mean strength of the second difference in one tile, in grey levels. */
function edges(grey: Float32Array, width: number, height: number, tx: number, ty: number): number {
  const [x0, x1] = [Math.max(1, Math.floor((tx * width) / TILES)), Math.floor(((tx + 1) * width) / TILES) - 1];
  const [y0, y1] = [Math.max(1, Math.floor((ty * height) / TILES)), Math.floor(((ty + 1) * height) / TILES) - 1];
  let sum = 0;
  let count = 0;
  for (let y = y0; y < y1; y++) {
    for (let x = x0; x < x1; x++) {
      const i = y * width + x;
      const centre = 4 * (grey[i] ?? 0);
      sum += Math.abs(centre - (grey[i - 1] ?? 0) - (grey[i + 1] ?? 0) - (grey[i - width] ?? 0) - (grey[i + width] ?? 0));
      count++;
    }
  }
  return count ? sum / count / 4 : 0;
}
