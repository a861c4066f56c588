import { en, type Words } from "./en";
import { de } from "./de";
import { fr } from "./fr";

const CATALOGUE = { en, de, fr } satisfies Record<string, Words>;
export type Language = keyof typeof CATALOGUE;
export const LANGUAGES = Object.keys(CATALOGUE) as Language[];

const KEPT = "language";

function known(tag: string | null): Language | undefined {
  const base = tag?.toLowerCase().split("-")[0];
  return LANGUAGES.find((one) => one === base);
}

let chosen: Language =
  known(localStorage.getItem(KEPT)) ?? navigator.languages.map(known).find((one) => one) ?? "en";
document.documentElement.lang = chosen;

/** The language in use. */
export const language = (): Language => chosen;

/** The texts in the language in use. */
export const words = (): Words => CATALOGUE[chosen];

/** The name that a language has for itself. */
export const nameOf = (one: Language): string => CATALOGUE[one].common.language;

/** Changes the language, for this browser. */
export function choose(one: Language): void {
  chosen = one;
  localStorage.setItem(KEPT, one);
  document.documentElement.lang = one;
}

/** A number as people of this language write it. */
export function number(value: number, digits = 3): string {
  return new Intl.NumberFormat(chosen, { maximumFractionDigits: digits }).format(value);
}

/** A probability in words that do not promise more than it says. */
export function share(value: number): string {
  const shown = value >= 1 ? 1 : Math.min(value, 0.9999);
  return new Intl.NumberFormat(chosen, { style: "percent", maximumFractionDigits: shown > 0.99 ? 2 : 1 }).format(shown);
}

/** A moment as people here write it, by the browser's own region where it speaks this language; `short` is the time alone for what was today. */
export function moment(at: string, short = false): string {
  const when = new Date(at);
  const region = navigator.languages.find((one) => known(one) === chosen) ?? chosen;
  const today = short && when.toDateString() === new Date().toDateString();
  return new Intl.DateTimeFormat(region, { timeStyle: "short", ...(today ? {} : { dateStyle: "medium" }) }).format(when);
}

/** A word without the places at which it may be broken. */
export const whole = (text: string): string => text.replaceAll("\u00AD", "");
