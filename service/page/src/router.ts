import { useEffect, useState } from "preact/hooks";

/** Where the page is: `#/register?outcome=unsuitable` is view `register` with one filter. */
export interface Where {
  view: string;
  /** What follows the view: `#/register/17`. */
  id: string;
  query: URLSearchParams;
}

function here(): Where {
  const [path = "", query = ""] = location.hash.replace(/^#\/?/, "").split("?");
  const [view = "", ...rest] = path.split("/");
  return { view: view || "photo", id: decodeURIComponent(rest.join("/")), query: new URLSearchParams(query) };
}

export function useWhere(): Where {
  const [where, setWhere] = useState(here);
  useEffect(() => {
    const moved = (): void => setWhere(here());
    window.addEventListener("hashchange", moved);
    return () => window.removeEventListener("hashchange", moved);
  }, []);
  return where;
}

/** The address of a view; empty filters are left out. */
export function address(view: string, query: Record<string, string> = {}): string {
  const filled = new URLSearchParams(Object.entries(query).filter(([, value]) => value));
  return `#/${view}${filled.size ? `?${filled}` : ""}`;
}

export function go(view: string, query?: Record<string, string>): void {
  location.hash = address(view, query);
}
