import { useState } from "preact/hooks";
import type { Place } from "../types";
import { words } from "../words";

const ZONES = ["0", "1", "2", "20", "21", "22", "mine-M1", "mine-M2", "Class I, Division 1", "Class I, Division 2", "Class II, Division 1", "Class II, Division 2", "non-hazardous"];
const LEVELS = ["Ga", "Gb", "Gc", "Da", "Db", "Dc", "Ma", "Mb"];
const GAS_GROUPS = ["IIA", "IIB", "IIB+H2", "IIC", "A", "B", "C", "D"];
const DUST_GROUPS = ["IIIA", "IIIB", "IIIC", "E", "F", "G"];
const CLASSES = ["T1", "T2", "T3", "T4", "T5", "T6"];

/** Text fields by key; kept as typed until the place is used. */
type Draft = Partial<Record<Exclude<keyof Place, "ambient_c"> | "low" | "high", string>>;

/** What is typed is kept over a reload. */
const KEPT = "place-draft";

function draftOf(place: Place | undefined): Draft {
  if (!place) {
    try {
      return (JSON.parse(sessionStorage.getItem(KEPT) ?? "{}") as Draft | null) ?? {};
    } catch {
      return {};
    }
  }
  const { ambient_c, ...rest } = place;
  const [low, high] = Array.isArray(ambient_c) ? ambient_c : (ambient_c ?? "").split("..");
  const draft: Draft = {};
  for (const [key, value] of Object.entries(rest) as [keyof Draft, unknown][]) {
    draft[key] = [value].flat().join(", ");
  }
  if (low !== undefined && low !== "") draft.low = String(low);
  if (high !== undefined && high !== "") draft.high = String(high);
  return draft;
}

/** The place that the form says; numbers go as they were typed, the service checks them. */
export function placeOf(draft: Draft): Place {
  const { low, high, gas, dust, ...rest } = draft;
  const place: Record<string, unknown> = {};
  for (const [key, value] of Object.entries(rest)) if (value?.trim()) place[key] = value.trim().replace(/(\d),(\d)/, "$1.$2");
  const names = (text: string | undefined): string[] =>
    (text ?? "").split(/,(?!\d)/).map((name) => name.trim()).filter(Boolean);
  if (names(gas).length) place.gas = names(gas);
  if (names(dust).length) place.dust = names(dust);
  if (low?.trim() || high?.trim()) {
    place.ambient_c = `${low?.trim() ?? ""}..${high?.trim() ?? ""}`.replaceAll("−", "-");
  }
  return place as Place;
}

/** Fill the place in once; what is common stands first. A location of the site is called something, too. */
export function PlaceForm({
  place,
  name,
  site = false,
  description = "",
  onUse,
}: {
  place?: Place | undefined;
  name?: string | undefined;
  site?: boolean;
  description?: string | undefined;
  onUse: (name: string, place: Place, description: string) => void;
}) {
  const w = words();
  const [about, setAbout] = useState(description);
  const [draft, setDraft] = useState<Draft>(() => draftOf(place));
  const [called, setCalled] = useState(name ?? "");
  const set = (key: keyof Draft, value: string): void => {
    const next = { ...draft, [key]: value };
    setDraft(next);
    if (!place) sessionStorage.setItem(KEPT, JSON.stringify(next));
  };
  const text = (key: keyof Draft, label: string, numeric = false) => (
    <label>
      {label}
      <input
        value={draft[key] ?? ""}
        inputMode={numeric ? "text" : undefined}
        autocomplete="off"
        onInput={(event) => set(key, event.currentTarget.value)}
      />
    </label>
  );
  const pick = (key: keyof Draft, label: string, values: string[]) => (
    <label>
      {label}
      <select value={draft[key] ?? ""} onChange={(event) => set(key, event.currentTarget.value)}>
        <option value="">{w.place.zone_none}</option>
        {values.map((value) => (
          <option key={value} value={value}>
            {value}
          </option>
        ))}
      </select>
    </label>
  );
  return (
    <form
      class="place-form"
      onSubmit={(event) => {
        event.preventDefault();
        sessionStorage.removeItem(KEPT);
        onUse(called.trim(), placeOf(draft), about.trim());
      }}
    >
      <label>
        {site ? w.place.tag : w.place.name}
        {/* Another tag would be another location. */}
        <input value={called} required maxLength={200} readOnly={site && name !== undefined} autocomplete="off" onInput={(event) => setCalled(event.currentTarget.value)} />
      </label>
      {site && (
        <label>
          {w.place.description}
          <input value={about} maxLength={500} autocomplete="off" onInput={(event) => setAbout(event.currentTarget.value)} />
        </label>
      )}
      {pick("zone", w.place.zone, ZONES)}
      <label>
        {w.place.gas}
        <input value={draft.gas ?? ""} list="gases" autocomplete="off" onInput={(event) => set("gas", event.currentTarget.value)} />
        <small>{w.place.gas_hint}</small>
      </label>
      {text("dust", w.place.dust)}
      <div class="pair">
        {text("low", w.place.ambient_low, true)}
        {text("high", w.place.ambient_high, true)}
      </div>
      <details>
        <summary>{w.place.rest}</summary>
        {pick("epl", w.place.epl, LEVELS)}
        {pick("gas_group", w.place.gas_group, GAS_GROUPS)}
        {text("ignition_c", w.place.ignition_c, true)}
        {pick("t_class", w.place.t_class, CLASSES)}
        {pick("dust_group", w.place.dust_group, DUST_GROUPS)}
        {text("cloud_ignition_c", w.place.cloud_ignition_c, true)}
        {text("layer_ignition_c", w.place.layer_ignition_c, true)}
        {text("layer_mm", w.place.layer_mm, true)}
        {text("max_surface_c", w.place.max_surface_c, true)}
        {text("ip", w.place.ip)}
      </details>
      <button class="main">{site ? w.place.keep_site : w.place.keep}</button>
    </form>
  );
}
