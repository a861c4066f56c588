import { useRef } from "preact/hooks";

/** Lets only the answer to the last question through: an older one may come later, and is not what is looked at. */
export function useLatest(): <T>(answer: Promise<T>) => Promise<T> {
  const asked = useRef(0);
  return (answer) => {
    const mine = ++asked.current;
    const last = (): boolean => mine === asked.current;
    return new Promise((done, failed) => {
      answer.then(
        (value) => last() && done(value),
        (error: unknown) => last() && failed(error),
      );
    });
  };
}
