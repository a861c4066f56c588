// Keeps the page itself at hand where there is no network. Answers of the service are never
// kept here: a stale verdict must not look like a fresh one.
const SHELL = "shell-1";
const FILES = ["./", "./page.js", "./index.css", "./icon.svg", "./page.webmanifest"];

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
  // The network first, so that a new version is seen at once.
  event.respondWith(
    fetch(request)
      .then(async (answer) => {
        if (answer.ok) await (await caches.open(SHELL)).put(request, answer.clone());
        return answer;
      })
      .catch(async () => (await caches.match(request)) ?? Response.error()),
  );
});
