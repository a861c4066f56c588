// Keeps the page itself at hand where there is no network. Answers of the service are never
// kept here: a stale verdict must not look like a fresh one.
/** How long a connection that hardly works is waited for, where the page is at hand. */
const PATIENCE_MS = 3000;
// Both are filled in when the page is built: files of two builds never meet.
const SHELL = `shell ${"ae8978c68f3d"}`;
const FILES = ["./","./index.css?v=ae8978c68f3d","./page.js?v=ae8978c68f3d","./views.js?v=ae8978c68f3d","./icon.svg","./icon.png","./page.webmanifest"];

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

const urlOf = (file) => new URL(file, self.registration.scope).href;

self.addEventListener("fetch", (event) => {
  const { request } = event;
  if (request.method !== "GET") return;
  const url = request.url.split("#")[0];
  if (url === urlOf("./")) event.respondWith(opened(request));
  else if (FILES.some((file) => urlOf(file) === url)) event.respondWith(held(request));
});

/** What belongs to this build is the same wherever it comes from. */
async function held(request) {
  const cache = await caches.open(SHELL);
  return (await cache.match(request)) ?? fetch(request);
}

/**
 * The network first, so that a new version is seen at once; where it hesitates, what is at hand. A
 * new version is not kept here: it comes with a worker of its own, which keeps it whole.
 */
async function opened(request) {
  const fresh = fetch(request);
  const cache = await caches.open(SHELL);
  const own = await cache.match("./");
  if (!own) return fresh;
  const patience = new Promise((later) => setTimeout(() => later(own), PATIENCE_MS));
  return Promise.race([fresh.catch(() => own), patience]);
}
