// Pieces of work on their way to the server: kept on this phone first, sent in the order in which they were made, and kept until the server has them.
globalThis.Outbox = !isSecureContext ? undefined : (() => {
  const WAITING = "waiting", FAULTY = "faulty", CLASH = "clash", DOOR = "door";
  const PATIENCE = 60000; // milliseconds for one piece with its photographs
  const AGAIN = 60000; // and until a line that failed is tried again
  const TROUBLE = { 500: "The server failed at it. It is tried again.", 404: "There is no such locate or permit, or it is not yours any more.", 413: "It is too large for the server." };
  const others = new BroadcastChannel("outbox");
  const heard = new EventTarget();
  const arrived = new Map(); // what this page was answered to the pieces that it sent
  let timer;

  const person = () => document.body.dataset.person ?? "";
  const tell = () => heard.dispatchEvent(new Event("change"));
  const changed = () => { tell(); others.postMessage("change"); };
  others.onmessage = () => tell();

  const all = () => Kept.pieces.all();
  // on the page that is shown where there is no line nobody is signed in: whoever's pages are kept
  const whose = async () => person() || (document.querySelector("[data-held]") ? await Kept.holder() : "");
  const mine = async () => {
    const who = await whose();
    return (await all()).filter((one) => one.person === who);
  };

  // which form of a page a piece belongs to: forms of one address differ by what they hold unseen
  const formOf = (form) => {
    const unseen = [...form.querySelectorAll("input[type=hidden]")].filter((one) => !["csrfmiddlewaretoken", "seen", "sheet", "fixes"].includes(one.name));
    return JSON.stringify([new URL(form.getAttribute("action") || "", location.href).pathname, ...unseen.map((one) => [one.name, one.value])]);
  };

  // once this is done, the piece is on the disk
  const add = async (piece) => {
    const key = crypto.randomUUID();
    await Kept.pieces.add({ ...piece, key, person: person(), recorded_at: new Date().toISOString(), state: WAITING });
    changed();
    return key;
  };

  const forget = async (piece) => {
    await Kept.pieces.remove(piece.turn);
    if (piece.begins) await Kept.begun.remove(piece.sheet);
    changed();
  };

  // one tab at a time, and nothing is changed while it is on its way
  const alone = (act) => navigator.locks ? navigator.locks.request("outbox", act) : act();

  // mended or decided upon, it keeps its key: had the first try arrived after all, the server knows it again
  const change = (piece, fresh) => alone(async () => {
    await Kept.pieces.put({ ...piece, ...fresh, state: WAITING, answer: null });
    changed();
    return piece.key;
  });

  // with a locate's beginning goes all that hangs on it
  const drop = (piece) => alone(async () => {
    for (const one of await mine()) if (piece.begins && one.sheet === piece.sheet) await forget(one);
    await forget(piece);
  });

  const token = () => {
    const name = document.body.dataset.token;
    return document.cookie.split("; ").find((one) => one.startsWith(`${name}=`))?.slice(name.length + 1) ?? "";
  };

  const asked = (piece) => {
    const body = new FormData();
    for (const [name, value, file] of piece.fields) file ? body.append(name, value, file) : body.append(name, value);
    const headers = {
      "Accept": "application/json",
      "Idempotency-Key": piece.key,
      "Recorded-At": piece.recorded_at,
      "Recorded-By": piece.person,
      "Sent-At": new Date().toISOString(),
      "X-CSRFToken": token(),
    };
    return fetch(piece.address, { method: "POST", body, headers, redirect: "manual", credentials: "same-origin", signal: AbortSignal.timeout(PATIENCE) });
  };

  const posted = async (piece) => {
    const answer = await asked(piece);
    if (answer.status !== 403) return answer;
    await fetch(document.body.dataset.noLine, { cache: "no-store", credentials: "same-origin" }); // it brings another token
    return asked(piece);
  };

  const read = async (answer) => (answer.headers.get("Content-Type") ?? "").startsWith("application/json") ? answer.json() : {};

  // what becomes of a piece: gone (the server has it), held (somebody must decide), stuck (the server failed), or later (no line, or nobody signed in)
  const send = async (piece) => {
    let answer, told;
    try {
      answer = await posted(piece);
      told = await read(answer);
    } catch {
      return "later";
    }
    if (answer.status === 200 && told.done) {
      arrived.set(piece.key, told);
      await forget(piece);
      return "gone";
    }
    const state = { 401: DOOR, 403: WAITING, 404: FAULTY, 409: CLASH, 413: FAULTY, 422: FAULTY, 400: FAULTY }[answer.status] ?? WAITING;
    const says = told.says ?? TROUBLE[answer.status] ?? "";
    await Kept.pieces.put({ ...piece, state, answer: { ...told, says } });
    changed();
    return answer.status >= 500 ? "stuck" : state === FAULTY || state === CLASH ? "held" : "later";
  };

  // a piece that is held keeps back those behind it of the same locate, no others
  const sendAll = async () => {
    const stopped = new Set();
    let through = true;
    for (const piece of await mine()) {
      if (piece.state === FAULTY || piece.state === CLASH) stopped.add(piece.sheet);
      if (stopped.has(piece.sheet)) continue;
      const came = await send(piece);
      if (came === "later") return false;
      if (came !== "gone") stopped.add(piece.sheet);
      through &&= came !== "stuck";
    }
    return through;
  };

  // all that can be sent now
  const flush = async () => {
    clearTimeout(timer);
    if (!person()) return;
    const through = await alone(sendAll);
    if (!through) timer = setTimeout(flush, AGAIN);
  };

  addEventListener("online", flush);
  document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && flush());

  flush();

  return { WAITING, FAULTY, CLASH, DOOR, heard, person, token, formOf, all, mine, gone: (key) => arrived.get(key), add, change, drop, flush };
})();
