const KEPT = "person";

/** Who works on this device; every decision is kept under this name. */
export const person = (): string => localStorage.getItem(KEPT) ?? "";

export const name = (who: string): void => localStorage.setItem(KEPT, who);
