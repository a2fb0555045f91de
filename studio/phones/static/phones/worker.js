// Keeps the packing page in the browser, so that it opens without a network. VERSION, PAGE and FILES stand above.
// What is sent and what is asked of the API never passes through here: only the page and its files are kept.
const SHELF = `fullstop-phone-${VERSION}`;

self.addEventListener("install", (event) => {
  event.waitUntil((async () => {
    const shelf = await caches.open(SHELF);
    await shelf.addAll([PAGE, ...FILES].map((address) => new Request(address, { cache: "reload" })));
    await self.skipWaiting();
  })());
});

self.addEventListener("activate", (event) => {
  event.waitUntil((async () => {
    const names = await caches.keys();
    await Promise.all(names.filter((name) => name.startsWith("fullstop-phone-") && name !== SHELF).map((name) => caches.delete(name)));
    await self.clients.claim();
  })());
});

self.addEventListener("fetch", (event) => {
  const address = new URL(event.request.url);
  if (event.request.method !== "GET" || address.origin !== self.location.origin) return;
  const wanted = event.request.mode === "navigate" && address.pathname === PAGE ? PAGE : address.pathname;
  if (wanted !== PAGE && !FILES.includes(wanted)) return;
  event.respondWith((async () => {
    const shelf = await caches.open(SHELF);
    return (await shelf.match(wanted)) || fetch(event.request);
  })());
});
