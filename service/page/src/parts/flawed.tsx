import type { Judgement } from "../state/judgement";
import * as outbox from "../state/outbox";
import { words } from "../words";
import { Camera } from "./camera";
import { corners, Numbered, PhotoFrame } from "./photo-frame";

/** A photo that should be taken again: what is wrong with it, and where. */
export function Flawed({ item, judgement, onAgain }: { item: outbox.Waiting; judgement: Judgement; onAgain: (files: FileList | null) => void }) {
  const w = words();
  const { width, height, flaws } = judgement;
  return (
    <section class="flawed" aria-labelledby="flawed">
      <h2 id="flawed">{w.photo.flawed}</h2>
      <div role="alert">
        <ol>
          {flaws.map((flaw, index) => (
            <li key={index}>{flaw.text}</li>
          ))}
        </ol>
      </div>
      <figure class="photo">
        <PhotoFrame photo={item.photo} width={width} height={height}>
          {flaws.map((flaw, index) => (
            <polygon key={index} class="flaw" points={corners(flaw.quad)} />
          ))}
          {flaws.map((flaw, index) => (
            <Numbered key={index} quad={flaw.quad} number={index + 1} width={width} />
          ))}
        </PhotoFrame>
      </figure>
      <div class="take even">
        <Camera
          label={w.photo.take_again}
          main
          onTaken={(files) => {
            if (item.id !== undefined) void outbox.drop(item.id);
            onAgain(files);
          }}
        />
        <button type="button" onClick={() => item.id !== undefined && void outbox.release(item.id)}>
          {w.photo.use_anyway}
        </button>
        <button type="button" onClick={() => item.id !== undefined && void outbox.drop(item.id)}>
          {w.common.remove}
        </button>
      </div>
    </section>
  );
}
