import { useEffect, useState } from "preact/hooks";
import type { Line, Reading } from "../types";
import { words } from "../words";
import { Crop } from "./crop";

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

function useUrl(photo: Blob): string {
  const [url, setUrl] = useState("");
  useEffect(() => {
    const made = URL.createObjectURL(photo);
    setUrl(made);
    return () => URL.revokeObjectURL(made);
  }, [photo]);
  return url;
}

const lineClass = (line: Line, critical: boolean): string =>
  [critical ? "critical" : "", line.confidence < DOUBTFUL ? "doubtful" : ""].join(" ").trim();

/** Lines that carry something a verdict rests on. */
export function criticalLines(reading: Reading): Set<number> {
  const spans = reading.markings.flatMap((m) => [
    ...(m.spans ?? []),
    ...Object.values(m.fields ?? {}).flatMap((f) => f.spans ?? []),
  ]);
  return new Set(spans.map((span) => span.line));
}

/** The photo with every line that was read; thick lines carry the marking, broken ones are doubtful. */
export function PhotoView({
  photo,
  bitmap,
  reading,
  selected,
  onSelect,
}: {
  photo: Blob;
  bitmap: ImageBitmap | undefined;
  reading: Reading;
  selected: number | undefined;
  onSelect: (line: number | undefined) => void;
}) {
  const w = words();
  const url = useUrl(photo);
  const { width, height } = reading.photo ?? { width: 1, height: 1 };
  const critical = criticalLines(reading);
  const line = selected === undefined ? undefined : reading.lines[selected];
  return (
    <figure class="photo">
      <div class="photo-frame">
        {url && <img src={url} width={width} height={height} alt={w.photo.show_photo} />}
        <svg viewBox={`0 0 ${width} ${height}`} aria-hidden="true">
          {reading.lines.map(
            (one, index) =>
              one.quad && (
                <polygon
                  key={index}
                  points={one.quad.map((p) => p.join(",")).join(" ")}
                  class={`${lineClass(one, critical.has(index))} ${index === selected ? "selected" : ""}`}
                  onClick={() => onSelect(index === selected ? undefined : index)}
                />
              ),
          )}
        </svg>
      </div>
      {bitmap && line && selected !== undefined && (
        <figcaption>
          <Crop photo={bitmap} line={line} label={line.text} />
          <span class="read">{line.text}</span>
        </figcaption>
      )}
    </figure>
  );
}
