// Between the pages and the line: the newest page where there is a line, the kept one where there is none.
// The address /sw.js says before this: RELEASE, SHELL (what pages are made of) and NO_LINE (the page for what is not kept).
const SHELL_NOW = `shell-${RELEASE}`;
const PATIENCE = 4000; // milliseconds until a page that is kept is shown instead of one that does not come
const QUIET = 20000; // and for how long after that nothing else waits for the line
let quietUntil = 0;

const pause = (length) => new Promise((_, fail) => setTimeout(() => fail(new Error("slow")), length));
const isDown = (answer) => [502, 503, 504].includes(answer.status);

const fill = async () => {
  const shell = await caches.open(SHELL_NOW);
  await Promise.all(SHELL.map(async (address) => {
    const answer = await fetch(address, { cache: "no-cache" });
    if (answer.ok && !answer.redirected && answer.type === "basic") await shell.put(address, answer);
  }));
  // asked for as nobody, so that it tells of nobody
  await shell.put(NO_LINE, await fetch(NO_LINE, { cache: "no-cache", credentials: "omit" }));
};

const clear = async () => {
  for (const name of await caches.keys()) if (name.startsWith("shell-") && name !== SHELL_NOW) await caches.delete(name);
  await Kept.dropOld();
};

self.addEventListener("install", (event) => event.waitUntil(fill().then(() => self.skipWaiting())));
self.addEventListener("activate", (event) => event.waitUntil(clear().then(() => self.clients.claim())));

// the answer of the line, and kept beside it where it may be
const asked = (event) => {
  const fresh = fetch(event.request);
  event.waitUntil(fresh.then((answer) => Kept.keep(event.request.url, answer.clone())).catch(() => {}));
  return fresh;
};

const marked = async (kept) => {
  const text = (await kept.text()).replace("<html", `<html data-kept-at="${kept.headers.get("Kept-At")}"`);
  return new Response(text, { headers: kept.headers });
};

const noLine = async () => {
  const page = await caches.match(NO_LINE);
  return page ? new Response(page.body, { status: 503, headers: page.headers }) : Response.error();
};

// a locate that was begun without a line: the empty guide of its site, under the key that the phone made for it
const begun = async (address) => {
  const sheet = /^\/field\/([0-9a-f-]{36})\/$/.exec(new URL(address).pathname)?.[1];
  const known = sheet && await Kept.begun.find(sheet);
  const empty = known && await Kept.find(new URL(known.guide, address).href);
  if (!empty) return undefined;
  // the key that the server gave it stands all over the empty guide
  const blank = /<template id="steps" data-sheet="([^"]+)"/.exec(await empty.clone().text())?.[1];
  const text = (await empty.text()).replaceAll(blank, sheet);
  return new Response(text.replace("<html", `<html data-kept-at="${empty.headers.get("Kept-At")}" data-begun-at="${known.at}"`), { headers: empty.headers });
};

const fromLine = async (event, kept) => {
  const fresh = asked(event);
  const answer = await (kept ? Promise.race([fresh, pause(PATIENCE)]) : fresh);
  if (kept && isDown(answer)) throw new Error("down");
  return answer;
};

const page = async (event) => {
  const kept = await Kept.find(event.request.url);
  try {
    return await fromLine(event, kept);
  } catch {
    quietUntil = Date.now() + QUIET;
    return kept ? marked(kept) : await begun(event.request.url) ?? noLine();
  }
};

const data = async (event) => {
  const kept = await Kept.find(event.request.url);
  try {
    return await (kept && Date.now() < quietUntil ? kept : fromLine(event, kept));
  } catch {
    return kept ?? Response.error();
  }
};

const part = async (request) => {
  const ours = await caches.match(request.url, { cacheName: SHELL_NOW });
  if (ours && Date.now() < quietUntil) return ours;
  try {
    return await (ours ? Promise.race([fetch(request), pause(PATIENCE)]) : fetch(request));
  } catch {
    return ours ?? Response.error();
  }
};

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const address = new URL(request.url);
  if (address.origin !== location.origin) return;
  if (request.mode === "navigate") {
    event.respondWith(request.method === "GET" ? page(event) : fetch(request).catch(noLine));
  } else if (request.method === "GET" && SHELL.includes(address.pathname)) {
    event.respondWith(part(request));
  } else if (request.method === "GET" && address.pathname.startsWith("/field/")) {
    event.respondWith(data(event));
  }
});
