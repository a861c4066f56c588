import type { Right, Role, Session } from "../session";

const KEPT = "person";

/** Who is signed in; nobody where the service has no accounts or has not been asked. */
let signedIn: Session | undefined;
let entered = 0;

/** Who works on this device; every decision is kept under this name. */
export const person = (): string => account() ?? localStorage.getItem(KEPT) ?? "";

export const name = (who: string): void => localStorage.setItem(KEPT, who);

/** Takes the name of an account, which is not for the person to change. */
export function enter(session: Session): void {
  signedIn = session;
  entered++;
}

/** How often somebody came or went: what was asked before says nothing of who is there now. */
export const changes = (): number => entered;

/** Name of the account that is signed in. */
export const account = (): string | undefined => signedIn?.name ?? undefined;

export const role = (): Role | undefined => signedIn?.role ?? undefined;

/** True where the name is that of an account. */
export const isAccount = (): boolean => account() !== undefined;

/** Whether it may be done. The service decides; where it knows no accounts, everyone may. */
export const may = (right: Right): boolean => account() === undefined || (signedIn?.may.includes(right) ?? false);
