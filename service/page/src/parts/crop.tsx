import { useEffect, useRef } from "preact/hooks";
import type { Line, Span } from "../types";

/** Height of a crop, CSS pixels times this give the picture's. */
const SHARPNESS = 2;
const HEIGHT = 72;
/** Share of a line's height shown around the characters. */
const MARGIN = 0.35;

/** A line of the photo, or some characters of it, straightened and enlarged. */
export function Crop({ photo, line, span, label }: { photo: ImageBitmap; line: Line; span?: Span; label: string }) {
  const canvas = useRef<HTMLCanvasElement>(null);
  useEffect(() => {
    const target = canvas.current;
    const context = target?.getContext("2d");
    if (!target || !context || !line.quad) return;
    const [a, b, , d] = line.quad;
    const length = Math.hypot(b[0] - a[0], b[1] - a[1]);
    const height = Math.hypot(d[0] - a[0], d[1] - a[1]);
    const count = Math.max(1, [...line.text].length);
    const from = span ? (Math.max(0, span.start - 1) / count) * length : 0;
    const to = span ? (Math.min(count, span.end + 1) / count) * length : length;
    const margin = height * MARGIN;
    const scale = (HEIGHT * SHARPNESS) / (height + 2 * margin);
    target.width = Math.min(4096, Math.max(1, Math.round((to - from + 2 * margin) * scale)));
    target.height = Math.round((height + 2 * margin) * scale);
    const angle = Math.atan2(b[1] - a[1], b[0] - a[0]);
    context.imageSmoothingQuality = "high";
    context.scale(scale, scale);
    context.translate(margin - from, margin);
    context.rotate(-angle);
    context.translate(-a[0], -a[1]);
    context.drawImage(photo, 0, 0);
  }, [photo, line, span]);
  if (!line.quad) return null;
  return (
    // Long lines scroll sideways, with the keyboard too.
    <div class="crop" role="group" aria-label={label} tabIndex={0}>
      <canvas ref={canvas} role="img" aria-label={label} />
    </div>
  );
}
