// What this phone keeps for one person: pages to be read and pieces of work to be sent. Pages and the worker both use it.
globalThis.Kept = (() => {
  const PAGES = "kept-pages";
  const DAYS = 7; // a page that is older is dropped
  const HOLDER = "holder";

  // the database: `pieces` that wait to be sent, `begun`: locates that the server does not know yet, `facts`: whose pages are kept

  const opened = () => new Promise((done, fail) => {
    const asked = indexedDB.open("spadework", 1);
    asked.onupgradeneeded = () => {
      asked.result.createObjectStore("pieces", { keyPath: "turn", autoIncrement: true }).createIndex("key", "key", { unique: true });
      asked.result.createObjectStore("begun", { keyPath: "sheet" });
      asked.result.createObjectStore("facts");
    };
    asked.onsuccess = () => done(asked.result);
    asked.onerror = () => fail(asked.error);
  });

  // `strict`: told as stored only when it is on the disk, for a battery can die at any instant
  const doing = async (store, how, act) => {
    const database = await opened();
    try {
      return await new Promise((done, fail) => {
        const deed = database.transaction(store, how, { durability: "strict" });
        const asked = act(deed.objectStore(store));
        deed.oncomplete = () => done(asked.result);
        deed.onabort = deed.onerror = () => fail(deed.error);
      });
    } finally {
      database.close();
    }
  };
  const reading = (store, act) => doing(store, "readonly", act);
  const writing = (store, act) => doing(store, "readwrite", act);

  const holder = () => reading("facts", (facts) => facts.get(HOLDER));
  const held = (person) => writing("facts", (facts) => facts.put(person, HOLDER));

  // pages

  const drop = async () => {
    await caches.delete(PAGES);
    await writing("facts", (facts) => facts.delete(HOLDER));
    const stored = globalThis.localStorage ?? {}; // the worker has none
    for (const name of Object.keys(stored)) if (name.startsWith("draft:")) stored.removeItem(name);
  };

  // an answer is kept only where the server says for whom it may be
  const keep = async (address, answer) => {
    const person = answer.headers.get("Keep-For");
    if (!person || !answer.ok || answer.redirected || answer.type !== "basic") return false;
    const whose = await holder();
    if (whose && whose !== person) await drop();
    if (whose !== person) await held(person);
    const headers = new Headers(answer.headers);
    headers.delete("Content-Encoding");
    headers.set("Kept-At", new Date().toISOString());
    await (await caches.open(PAGES)).put(address, new Response(await answer.blob(), { headers }));
    return true;
  };

  // an instant in words, by this phone's own clock
  const says = (at) => {
    const time = at.toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit" });
    return at.toDateString() === new Date().toDateString() ? time : `${at.toLocaleDateString("en-GB", { day: "numeric", month: "short", year: "numeric" })}, ${time}`;
  };

  const keptAt = (answer) => new Date(answer.headers.get("Kept-At"));
  const isOld = (answer) => Date.now() - keptAt(answer) > DAYS * 24 * 3600 * 1000;

  const find = async (address) => {
    const answer = await (await caches.open(PAGES)).match(address);
    return answer && !isOld(answer) ? answer : undefined;
  };

  const dropOld = async () => {
    const pages = await caches.open(PAGES);
    for (const asked of await pages.keys()) {
      if (isOld(await pages.match(asked))) await pages.delete(asked);
    }
  };

  const titleOf = (text) => new DOMParser().parseFromString(text, "text/html").title.replace(/ · Spadework$/, "");

  // the pages that are kept, the latest first; what belongs to a page, such as its drawing, is no page
  const list = async () => {
    const found = [];
    const pages = await caches.open(PAGES);
    for (const asked of await pages.keys()) {
      const answer = await pages.match(asked);
      if (!isOld(answer) && answer.headers.get("Content-Type").startsWith("text/html")) {
        found.push({ address: new URL(asked.url).pathname, title: titleOf(await answer.text()), at: keptAt(answer) });
      }
    }
    return found.sort((one, other) => other.at - one.at);
  };

  // pieces

  const pieces = {
    all: () => reading("pieces", (store) => store.getAll()),
    // given its turn, so that they are sent in the order in which they were made
    add: (piece) => writing("pieces", (store) => store.add(piece)),
    put: (piece) => writing("pieces", (store) => store.put(piece)),
    remove: (turn) => writing("pieces", (store) => store.delete(turn)),
  };

  const begun = {
    find: (sheet) => reading("begun", (store) => store.get(sheet)),
    all: () => reading("begun", (store) => store.getAll()),
    add: (one) => writing("begun", (store) => store.put(one)),
    remove: (sheet) => writing("begun", (store) => store.delete(sheet)),
  };

  return { DAYS, says, holder, drop, keep, find, dropOld, list, pieces, begun };
})();
