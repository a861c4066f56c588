const KEPT = "person";

/** Name of the account that is signed in; none where the service has no accounts. */
let account: string | undefined;

/** Who works on this device; every decision is kept under this name. */
export const person = (): string => account ?? localStorage.getItem(KEPT) ?? "";

export const name = (who: string): void => localStorage.setItem(KEPT, who);

/** Takes the name of an account, which is not for the person to change. */
export function enter(named: string | undefined): void {
  account = named;
}

/** True where the name is that of an account. */
export const isAccount = (): boolean => account !== undefined;
