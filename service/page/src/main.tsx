import { render } from "preact";
import { useEffect, useState } from "preact/hooks";
import { PlaceBar } from "./parts/place-bar";
import { WaitingCount } from "./parts/waiting-count";
import { address, useWhere } from "./router";
import { SIGNED_OUT } from "./api";
import { asked, hasAsked, NOBODY, session, signOut, type Right, type Session } from "./session";
import * as outbox from "./state/outbox";
import * as people from "./state/person";
import * as places from "./state/places";
import { fetchViews, Later } from "./parts/later";
import { SignInPage } from "./views/sign-in";
import { PhotoPage } from "./views/photo";
import { kept, locations } from "./register";
import { choose, LANGUAGES, language, nameOf, whole, words, type Language } from "./words";

const VIEWS = ["photo", "review", "register", "import", "places", "learn", "loop"] as const;
type View = (typeof VIEWS)[number];
/** Views that need a register, with what their reader must be allowed to do. */
const OF_REGISTER: Partial<Record<View, Right>> = { review: "review", register: "read", import: "inspect" };

const REGISTER = "register";

function knownRegister(): boolean | undefined {
  const known = localStorage.getItem(REGISTER);
  return known === null ? undefined : known === "true";
}

function Page() {
  const where = useWhere();
  const [tongue, setTongue] = useState(language());
  const [place, setPlace] = useState(places.current());
  const [own, setAll] = useState(places.own());
  const [site, setSite] = useState<places.Named[]>([]);
  const [who, setWho] = useState<Session>();
  const [ended, setEnded] = useState(false);
  const admit = (next: Session): void => {
    people.enter(next);
    setWho(next);
    if (!next.name) return;
    setEnded(false);
    // What waited for a name goes now.
    void outbox.send();
  };
  const leave = async (): Promise<void> => {
    await signOut();
    admit(NOBODY);
    // Whoever goes by himself need not be told.
    setEnded(false);
  };
  useEffect(() => {
    // Without a network nobody can be asked for a name, and photos can be taken all the same.
    const before = people.changes();
    if (hasAsked()) session().then((now) => people.changes() === before && admit(now), () => undefined);
    // Comes for each request that is refused, also for those that ask before anybody can have signed in again.
    const out = (): void => {
      if (people.isAccount()) setEnded(true);
      asked();
      admit(NOBODY);
    };
    window.addEventListener(SIGNED_OUT, out);
    return () => window.removeEventListener(SIGNED_OUT, out);
  }, []);
  const closed = who?.accounts === true && who.name === null;
  // Not known before the service has said so, or said so the last time.
  const [register, setRegister] = useState(knownRegister());
  const ask = async (): Promise<void> => {
    const has = await kept();
    localStorage.setItem(REGISTER, String(has));
    setRegister(has);
    if (!has) return;
    const list = (await locations()).map(places.ofSite);
    setSite(list);
    // A place that was chosen here may have changed since.
    const chosen = places.current();
    const now = chosen?.origin === "site" ? list.find((one) => one.name === chosen.name) : undefined;
    if (now) take(now);
  };
  useEffect(() => {
    // Without a network there is nothing to ask; the page works on without it.
    ask().catch(() => setRegister((known) => known ?? false));
  }, [who?.name]);
  const open = (view: View): boolean => {
    const right = OF_REGISTER[view];
    return register !== undefined && (right === undefined || (register && people.may(right)));
  };
  const all = [...site, ...own];
  const w = words();
  const take = (next: places.Named | undefined): void => {
    places.choose(next);
    setPlace(next);
    setAll(places.own());
  };
  // An inspection is of a plate of the register.
  const named = where.view === "inspect" ? "register" : where.view;
  const current = VIEWS.find((view) => view === named) ?? "photo";
  useEffect(() => {
    document.title = `${whole(w.nav.view[current])} · vetplate`;
  }, [current, tongue]);
  return (
    <>
      <a class="skip" href="#content" onClick={(event) => {
        event.preventDefault();
        document.getElementById("content")?.focus();
      }}>
        {w.common.skip}
      </a>
      <header>
        <span class="name">vetplate</span>
        <WaitingCount />
        {who?.name && (
          <span class="who">
            <span>
              {who.name} {who.role && <small>{w.session.role[who.role]}</small>}
            </span>{" "}
            <button type="button" class="quiet" onClick={() => void leave().catch(() => undefined)}>
              {w.session.leave}
            </button>
          </span>
        )}
        <label class="tongue">
          <span class="unseen">Language, Sprache, langue</span>
          <select
            value={tongue}
            onChange={(event) => {
              choose(event.currentTarget.value as Language);
              setTongue(language());
            }}
          >
            {LANGUAGES.map((one) => (
              <option key={one} value={one}>
                {nameOf(one)}
              </option>
            ))}
          </select>
        </label>
      </header>
      <nav aria-label="vetplate">
        {VIEWS.filter(open).map((view) => (
          <a
            key={view}
            href={address(view)}
            // On a phone it is reached from the register: there is no room for seven.
            class={view === "import" ? "desk" : undefined}
            aria-current={view === current ? "page" : undefined}
          >
            {w.nav.view[view]}
          </a>
        ))}
      </nav>
      <main id="content" tabIndex={-1}>
        {closed ? <SignInPage onIn={admit} ended={ended} /> : (
          <>
        {(current === "photo" || current === "learn") && <PlaceBar chosen={place} all={all} onChoose={take} />}
        {current === "photo" && <PhotoPage place={place} keeps={register === true && people.may("inspect")} />}
        {current !== "photo" && <Later show={(views) => (
          <>
        {current === "review" && <views.ReviewPage where={where} />}
        {where.view === "register" && <views.RegisterPage where={where} />}
        {where.view === "inspect" && <views.InspectPage key={where.id} id={where.id} />}
        {current === "import" && <views.ImportPage id={where.id} places={site.map((one) => one.name)} />}
        {current === "places" && (
          <views.PlacesPage
            all={all}
            kept={register === true}
            onChange={() => {
              setAll(places.own());
              setPlace(places.current());
              if (register) void ask().catch(() => undefined);
            }}
          />
        )}
        {current === "learn" && <views.LearnPage place={place} />}
        {current === "loop" && <views.LoopPage />}
          </>
        )} />}
          </>
        )}
      </main>
    </>
  );
}

const root = document.getElementById("page");
if (root) render(<Page />, root);
// What can wait until the page is seen.
requestAnimationFrame(() =>
  setTimeout(() => {
    outbox.begin();
    void fetchViews().catch(() => undefined);
    // Only where the browser takes the connection for safe: loopback or TLS.
    if ("serviceWorker" in navigator) void navigator.serviceWorker.register("./worker.js").catch(() => undefined);
  }),
);
