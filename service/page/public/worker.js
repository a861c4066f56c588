// Keeps the page itself at hand where there is no network. Answers of the service are never
// kept here: a stale verdict must not look like a fresh one.
/** How long a connection that hardly works is waited for, where the page is at hand. */
const PATIENCE_MS = 3000;
const SHELL = "shell-2";
const FILES = ["./", "./page.js", "./index.css", "./icon.svg", "./icon.png", "./page.webmanifest"];

self.addEventListener("install", (event) => {
  event.waitUntil(
    caches
      .open(SHELL)
      .then((cache) => cache.addAll(FILES.map((file) => new Request(file, { cache: "reload" }))))
      .then(() => self.skipWaiting()),
  );
});

self.addEventListener("activate", (event) => {
  event.waitUntil(
    caches
      .keys()
      .then((names) => Promise.all(names.filter((name) => name !== SHELL).map((name) => caches.delete(name))))
      .then(() => self.clients.claim()),
  );
});

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const path = new URL(request.url).pathname;
  const ours = FILES.some((file) => new URL(file, self.registration.scope).pathname === path);
  if (request.method !== "GET" || !ours) return;
  event.respondWith(shown(request));
});

/** The network first, so that a new version is seen at once; where it hesitates, what is at hand. */
async function shown(request) {
  const cache = await caches.open(SHELL);
  const fresh = fetch(request).then(async (answer) => {
    if (answer.ok) await cache.put(request, answer.clone());
    return answer;
  });
  const held = await cache.match(request);
  if (!held) return fresh;
  const patience = new Promise((later) => setTimeout(() => later(held), PATIENCE_MS));
  return Promise.race([fresh.catch(() => held), patience]);
}
