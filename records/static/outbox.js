// Pieces of work on their way to the server: kept on this phone first, sent in the order in which they were made, and kept until the server has them.
globalThis.Outbox = !isSecureContext ? undefined : (() => {
  const WAITING = "waiting", FAULTY = "faulty", CLASH = "clash", DOOR = "door";
  const PATIENCE = 60000; // milliseconds for one piece with its photographs
  const AGAIN = 60000; // and until a line that failed is tried again
  const TROUBLE = { 404: "There is no such locate, or it is not yours any more.", 413: "It is too large for the server." };
  const others = new BroadcastChannel("outbox");
  const heard = new EventTarget();
  let timer;

  const person = () => document.body.dataset.person ?? "";
  const tell = (what) => heard.dispatchEvent(new CustomEvent("change", { detail: what }));
  const changed = () => { tell(); others.postMessage("change"); };
  others.onmessage = () => tell();

  const all = () => Kept.pieces.all();
  // on the page that is shown where there is no line nobody is signed in: whoever's pages are kept
  const whose = async () => person() || (document.querySelector("[data-held]") ? await Kept.holder() : "");
  const mine = async () => {
    const who = await whose();
    return (await all()).filter((one) => one.person === who);
  };

  // once this is done, the piece is on the disk
  const add = async (piece) => {
    await Kept.pieces.add({ ...piece, key: crypto.randomUUID(), person: person(), recorded_at: new Date().toISOString(), state: WAITING });
    changed();
  };

  // mended or decided upon, it keeps its key: had the first try arrived after all, the server knows it again
  const change = async (piece, fresh) => {
    await Kept.pieces.put({ ...piece, ...fresh, state: WAITING, answer: null });
    changed();
  };

  const forget = async (piece) => {
    await Kept.pieces.remove(piece.turn);
    if (piece.begins) await Kept.begun.remove(piece.sheet);
    changed();
  };

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

  // what becomes of a piece: gone (the server has it), held (somebody must decide), or later (there is no line, or the door is shut)
  const send = async (piece) => {
    let answer, told;
    try {
      answer = await posted(piece);
      told = await read(answer);
    } catch {
      return { piece, came: "later" };
    }
    if (answer.status === 200 && told.done) {
      await forget(piece);
      return { piece, came: "gone", told };
    }
    const state = { 401: DOOR, 403: WAITING, 404: FAULTY, 409: CLASH, 413: FAULTY, 422: FAULTY, 400: FAULTY }[answer.status] ?? WAITING;
    const says = told.says ?? TROUBLE[answer.status] ?? "";
    await Kept.pieces.put({ ...piece, state, answer: { ...told, says } });
    changed();
    return { piece, came: state === FAULTY || state === CLASH ? "held" : "later", told };
  };

  // one tab at a time; a piece that is held keeps back those behind it of the same locate, no others
  const sendAll = async () => {
    const came = [], stopped = new Set();
    for (const piece of await mine()) {
      if (piece.state === FAULTY || piece.state === CLASH) stopped.add(piece.sheet);
      if (stopped.has(piece.sheet)) continue;
      const one = await send(piece);
      came.push(one);
      if (one.came === "later") return came;
      if (one.came === "held") stopped.add(piece.sheet);
    }
    return came;
  };

  const flush = async () => {
    clearTimeout(timer);
    if (!person()) return [];
    const came = await (navigator.locks ? navigator.locks.request("outbox", sendAll) : sendAll());
    if (came.some((one) => one.came === "later")) timer = setTimeout(flush, AGAIN);
    for (const one of came) if (one.came === "gone") tell(one);
    return came;
  };

  addEventListener("online", flush);
  document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && flush());

  flush();

  return { WAITING, FAULTY, CLASH, DOOR, heard, person, token, all, mine, add, change, forget, flush };
})();
