import { language, words as first } from "..";
import { de } from "./de";
import { en, type More } from "./en";
import { fr } from "./fr";
import type { Words } from "../en";

export { moment, number, share, whole } from "..";

const MORE = { en, de, fr } satisfies Record<string, More>;

/** All texts in the language in use, for the views that are fetched later. */
export const words = (): Words & More => ({ ...first(), ...MORE[language()] });
