import type { ComponentChildren } from "preact";
import { useEffect, useState } from "preact/hooks";
import type { Point, Quad } from "../types";
import { words } from "../words";

/** An address of bytes that the browser holds. */
function useUrl(photo: Blob): string {
  const [url, setUrl] = useState("");
  useEffect(() => {
    const made = URL.createObjectURL(photo);
    setUrl(made);
    return () => URL.revokeObjectURL(made);
  }, [photo]);
  return url;
}

/** Corners as an SVG takes them. */
export const corners = (quad: Quad): string => quad.map((point) => point.join(",")).join(" ");

/** A photo with what is drawn on it, in pixels of the photo. */
export function PhotoFrame({ photo, width, height, children }: { photo: Blob; width: number; height: number; children: ComponentChildren }) {
  const url = useUrl(photo);
  return (
    <div class="photo-frame">
      {url && <img src={url} width={width} height={height} alt={words().photo.show_photo} />}
      <svg viewBox={`0 0 ${width} ${height}`} aria-hidden="true">
        {children}
      </svg>
    </div>
  );
}

/** A number beside a place of the photo; `width` is that of the photo. */
export function Numbered({ quad, number, width }: { quad: Quad; number: number; width: number }) {
  const size = width / 24;
  const inside = (value: number): number => Math.max(size, value);
  const [x, y] = [inside(Math.min(...quad.map((p) => p[0]))), inside(Math.min(...quad.map((p) => p[1])))];
  return (
    <g class="numbered">
      <circle cx={x} cy={y} r={size * 0.8} />
      <text x={x} y={y} font-size={size} dy="0.35em" text-anchor="middle">
        {number}
      </text>
    </g>
  );
}

/** Around all these lines, turned as the longest of them, with some room. */
export function around(quads: Quad[]): Quad | undefined {
  const along = (quad: Quad): Point => [quad[1][0] - quad[0][0], quad[1][1] - quad[0][1]];
  const longest = quads.map(along).toSorted((a, b) => Math.hypot(...b) - Math.hypot(...a))[0];
  if (!longest) return undefined;
  const angle = Math.atan2(longest[1], longest[0]);
  const turn = ([x, y]: Point, by: number): Point => [x * Math.cos(by) - y * Math.sin(by), x * Math.sin(by) + y * Math.cos(by)];
  const level = quads.flat().map((point) => turn(point, -angle));
  const heights = quads.map((quad) => Math.hypot(quad[3][0] - quad[0][0], quad[3][1] - quad[0][1]));
  const room = Math.max(...heights) / 2;
  const [xs, ys] = [level.map((p) => p[0]), level.map((p) => p[1])];
  const [left, right] = [Math.min(...xs) - room, Math.max(...xs) + room];
  const [top, bottom] = [Math.min(...ys) - room, Math.max(...ys) + room];
  const box: Quad = [[left, top], [right, top], [right, bottom], [left, bottom]];
  return box.map((point) => turn(point, angle)) as Quad;
}
