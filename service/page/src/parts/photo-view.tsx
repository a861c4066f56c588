import { useEffect, useState } from "preact/hooks";
import type { Line, PlateAnswer, Quad, Reading } from "../types";
import { Crop } from "./crop";
import { around, corners, Numbered, PhotoFrame } from "./photo-frame";

/** A line below this is drawn as doubtful. */
const DOUBTFUL = 0.9;

/** Decodes the photo once, turned as the camera says. */
export function useBitmap(photo: Blob | undefined): ImageBitmap | undefined {
  const [bitmap, setBitmap] = useState<ImageBitmap>();
  useEffect(() => {
    let current: ImageBitmap | undefined;
    let gone = false;
    setBitmap(undefined);
    if (photo) {
      void createImageBitmap(photo, { imageOrientation: "from-image" }).then(
        (made) => {
          if (gone) made.close();
          else setBitmap((current = made));
        },
        () => undefined,
      );
    }
    return () => {
      gone = true;
      current?.close();
    };
  }, [photo]);
  return bitmap;
}

const lineClass = (line: Line, critical: boolean): string =>
  [critical ? "critical" : "", line.confidence < DOUBTFUL ? "doubtful" : ""].join(" ").trim();

/** Lines that carry something a verdict rests on. */
export function criticalLines(reading: PlateAnswer): Set<number> {
  const spans = reading.markings.flatMap((m) => [
    ...(m.spans ?? []),
    ...Object.values(m.fields ?? {}).flatMap((f) => f.spans ?? []),
  ]);
  return new Set(spans.map((span) => span.line));
}

const quads = (lines: Line[]): Quad[] => lines.flatMap((line) => (line.quad ? [line.quad] : []));

/**
 * The photo with the plate outlined and every line that was read: thick lines carry the marking,
 * broken ones are doubtful, dotted places may hide something.
 */
export function PhotoView({
  photo,
  bitmap,
  reading,
  plates,
  shown,
  selected,
  place,
  onSelect,
}: {
  photo: Blob;
  bitmap: ImageBitmap | undefined;
  reading: Reading;
  /** Every plate of the photo, where there are several, and the number of the one that is shown. */
  plates: PlateAnswer[];
  shown: number;
  selected: number | undefined;
  /** A place to look at. */
  place: Quad | undefined;
  onSelect: (line: number | undefined) => void;
}) {
  const { width, height } = reading.photo ?? { width: 1, height: 1 };
  const critical = criticalLines(reading);
  const line = selected === undefined ? undefined : reading.lines[selected];
  const boxes = (plates.length > 1 ? plates : [reading]).map((one) => around(quads(one.lines)));
  return (
    <figure class="photo">
      <PhotoFrame photo={photo} width={width} height={height}>
        {boxes.map((box, index) => box && <polygon key={index} class={`plate ${plates.length > 1 && index !== shown ? "other" : ""}`} points={corners(box)} />)}
        {reading.lines.map(
          (one, index) =>
            one.quad && (
              <polygon
                key={index}
                points={corners(one.quad)}
                class={`${lineClass(one, critical.has(index))} ${index === selected ? "selected" : ""}`}
                onClick={() => onSelect(index === selected ? undefined : index)}
              />
            ),
        )}
        {reading.lines.flatMap((one) => one.hidden ?? []).map(({ quad }, index) => <polygon key={index} class="hidden-place" points={corners(quad)} />)}
        {place && <polygon class="selected" points={corners(place)} />}
        {plates.length > 1 && boxes.map((box, index) => box && <Numbered key={index} quad={box} number={index + 1} width={width} />)}
      </PhotoFrame>
      {bitmap && line && selected !== undefined && (
        <figcaption>
          <Crop photo={bitmap} line={line} label={line.text} />
          <span class="read">{line.text}</span>
        </figcaption>
      )}
    </figure>
  );
}
