import { call, json } from "./api";

export const RIGHTS = ["read", "inspect", "review", "administer"] as const;
/** What may be done; each role may all that those before may. */
export type Right = (typeof RIGHTS)[number];
export type Role = "reader" | "inspector" | "reviewer" | "administrator";

/** Who is signed in; a service without accounts knows nobody and lets everyone at its machine in. */
export interface Session {
  accounts: boolean;
  name: string | null;
  role: Role | null;
  may: Right[];
}

/** Nobody, where the service wants to know who is there. */
export const NOBODY: Session = { accounts: true, name: null, role: null, may: [] };

const ACCOUNTS = "accounts";

/** Whether this service has asked for a name before; a service without accounts is not asked. */
export const hasAsked = (): boolean => localStorage.getItem(ACCOUNTS) !== null;

/** Notes that the service asks for a name. */
export const asked = (): void => localStorage.setItem(ACCOUNTS, "true");

/** Who is signed in now. */
export async function session(): Promise<Session> {
  const now = await json<Session>("v1/session");
  if (!now.accounts) localStorage.removeItem(ACCOUNTS);
  return now;
}

export const signIn = (name: string, password: string): Promise<Session> => json("v1/session", { name, password });

export async function signOut(): Promise<void> {
  await call("v1/session", { method: "DELETE" });
}
