/** Opens the camera; where there is none, the choice of a file. */
export function Camera({ label, main = false, onTaken }: { label: string; main?: boolean; onTaken: (files: FileList | null) => void }) {
  return (
    <label class={`button ${main ? "main" : ""}`}>
      {label}
      <input
        type="file"
        accept="image/*"
        capture="environment"
        onChange={(event) => {
          onTaken(event.currentTarget.files);
          event.currentTarget.value = "";
        }}
      />
    </label>
  );
}
