import type { Place } from "../types";

/** A place with its name. */
export interface Named {
  name: string;
  place: Place;
  /** A location of the service, or kept in this browser. */
  origin: "site" | "own";
  /** What a location is called beside its tag. */
  description?: string;
  /** Of a location, as it was seen. */
  version?: number;
}

const OWN = "places";
const RECENT = "recent-places";
const CURRENT = "current-place";
const MOST_RECENT = 5;

function kept<T>(key: string, otherwise: T): T {
  try {
    return (JSON.parse(localStorage.getItem(key) ?? "null") as T | null) ?? otherwise;
  } catch {
    return otherwise;
  }
}

const keep = (key: string, value: unknown): void => localStorage.setItem(key, JSON.stringify(value));

export const own = (): Named[] => kept<Named[]>(OWN, []);

/** Keeps a place of this browser; one of the same name is replaced. */
export function add(name: string, place: Place): Named {
  const named: Named = { name, place, origin: "own" };
  keep(OWN, [...own().filter((one) => one.name !== name), named]);
  return named;
}

export function forget(name: string): void {
  keep(
    OWN,
    own().filter((one) => one.name !== name),
  );
  keep(
    RECENT,
    recent().filter((one) => one.name !== name || one.origin !== "own"),
  );
  const now = current();
  if (now?.name === name && now.origin === "own") choose(undefined);
}

export const recent = (): Named[] => kept<Named[]>(RECENT, []);

export const current = (): Named | undefined => kept<Named | undefined>(CURRENT, undefined);

/** Takes a place for what is read from now on. */
export function choose(place: Named | undefined): void {
  if (!place) {
    localStorage.removeItem(CURRENT);
    return;
  }
  keep(CURRENT, place);
  const others = recent().filter((one) => one.name !== place.name || one.origin !== place.origin);
  keep(RECENT, [place, ...others].slice(0, MOST_RECENT));
}

const LABELS: [keyof Place, string, string][] = [
  ["epl", "EPL ", ""],
  ["gas_group", "", ""],
  ["ignition_c", "", " °C"],
  ["t_class", "", ""],
  ["dust_group", "", ""],
  ["layer_mm", "", " mm"],
  ["ip", "IP", ""],
];

/** A location with its place, as the service keeps it. */
export const ofSite = (one: { tag: string; description?: string; place: Place; version: number }): Named => ({
  name: one.tag,
  place: one.place,
  origin: "site",
  version: one.version,
  ...(one.description ? { description: one.description } : {}),
});

/** Whether a search names it. */
export const isNamed = (one: Named, search: string): boolean =>
  `${one.name} ${one.description ?? ""}`.toLowerCase().includes(search.trim().toLowerCase());

/** The place in one short line. */
export function inShort(place: Place, zone: string): string {
  const list = (value: string | string[] | undefined): string => [value ?? []].flat().join(", ");
  const numbered = /^\d+$/.test(place.zone ?? "");
  const ambient = place.ambient_c;
  return [
    place.zone ? (numbered ? `${zone} ${place.zone}` : place.zone) : "",
    list(place.gas),
    list(place.dust),
    ...LABELS.map(([key, before, after]) => {
      const value = place[key];
      return value === undefined || value === "" ? "" : `${before}${String(value).replace(/^IP/, "")}${after}`;
    }),
    ambient ? `${Array.isArray(ambient) ? ambient.join("…") : ambient.replace("..", "…")} °C` : "",
  ]
    .filter(Boolean)
    .join(", ");
}
