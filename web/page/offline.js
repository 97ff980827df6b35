// The service worker of the served form: the page is there without a network once it was opened.

const NAME = `plyloom-${DIGEST}`;
const FILES = ["./", "./plyloom.webmanifest", "./sign.svg", "./sign.png"];

self.addEventListener("install", (event) => {
  event.waitUntil(caches.open(NAME).then((cache) => cache.addAll(FILES)).then(() => self.skipWaiting()));
});

self.addEventListener("activate", (event) => {
  const others = async () => Promise.all((await caches.keys()).filter((name) => name !== NAME && name.startsWith("plyloom-")).map((name) => caches.delete(name)));
  event.waitUntil(others().then(() => self.clients.claim()));
});

self.addEventListener("fetch", (event) => {
  if (event.request.method !== "GET") return;
  event.respondWith(caches.match(event.request, { ignoreSearch: true }).then((kept) => kept ?? fetch(event.request)));
});
