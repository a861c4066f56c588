import type { Right, Role } from "../session";
import * as people from "../state/person";
import { words } from "../words";

const ROLE: Record<Right, Role> = { read: "reader", inspect: "inspector", review: "reviewer", administer: "administrator" };

/** Says which role something needs, to whom has another. */
export function NeedsRole({ right }: { right: Right }) {
  const w = words();
  const role = people.role();
  if (people.may(right) || !role) return null;
  return <p class="needs-role">{w.session.needs({ role: w.session.role[ROLE[right]], name: people.person(), has: w.session.role[role] })}</p>;
}
