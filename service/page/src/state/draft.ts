import { useState } from "preact/hooks";

/** What is typed and not yet sent, kept over a reload and over having to sign in again. */
export function useDraft<T>(key: string, first: T): [T, (next: T) => void, () => void] {
  const kept = `draft ${key}`;
  const [value, setValue] = useState<T>(() => {
    try {
      return (JSON.parse(sessionStorage.getItem(kept) ?? "null") as T | null) ?? first;
    } catch {
      return first;
    }
  });
  const set = (next: T): void => {
    setValue(next);
    sessionStorage.setItem(kept, JSON.stringify(next));
  };
  const forget = (): void => {
    setValue(first);
    sessionStorage.removeItem(kept);
  };
  return [value, set, forget];
}
