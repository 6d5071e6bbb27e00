// With and without a line: the worker, what the page in hand is, what is kept on this phone and for whom, and what needs the line.
(async () => {
  if (!globalThis.Outbox) return;
  const OTHERS = "drop-others"; // whoever signs in was told, and wants it so
  const { person, noLine } = document.body.dataset;
  const keptAt = document.documentElement.dataset.keptAt;
  const begunAt = document.documentElement.dataset.begunAt;
  const main = document.querySelector("main");
  const count = (pieces) => pieces.length === 1 ? "1 piece of work is" : `${pieces.length} pieces of work are`;

  const told = (words, kind = "") => {
    const line = Object.assign(document.createElement("p"), { className: `told ${kind}`, textContent: words });
    line.setAttribute("role", "status");
    return line;
  };

  const again = () => {
    const button = Object.assign(document.createElement("button"), { type: "button", className: "quiet", textContent: "Try again" });
    button.addEventListener("click", () => location.assign(location.pathname + location.search));
    return button;
  };

  const banner = () => {
    const words = begunAt
      ? `No line: this locate was begun on this phone at ${Kept.says(new Date(begunAt))}, and nobody else knows of it yet. What you hand in waits here, in order.`
      : `No line: this is as it was at ${Kept.says(new Date(keptAt))}. It may have changed since.`;
    const line = told(`${words} `, "kept");
    line.append(again());
    main.prepend(line);
    // what is being typed is left alone
    addEventListener("online", () => line.firstChild.replaceWith("There is a line again, and this page is as it was before. "));
  };

  // another's pages go as soon as somebody else is here; what another has not sent yet goes only when somebody says so
  const change = async () => {
    if (!person) return;
    const holder = await Kept.holder();
    if (holder && holder !== person) await Kept.drop();
    const others = (await Outbox.all()).filter((one) => one.person !== person);
    const agreed = sessionStorage.getItem(OTHERS);
    sessionStorage.removeItem(OTHERS);
    if (!others.length) return;
    if (agreed) {
      for (const one of others) await Outbox.drop(one);
      return;
    }
    main.prepend(told(`On this phone ${count(others)} not yet sent that somebody else recorded (${others[0].person}). Only they can see and send it: let them sign in here.`));
  };

  const signOut = async (form) => {
    const mine = await Outbox.mine();
    if (mine.length && !confirm(`${count(mine)} on this phone and not yet sent. If you sign out now, that is lost. Sign out all the same?`)) return;
    for (const one of mine) await Outbox.drop(one);
    await Kept.drop();
    form.submit();
  };

  const signIn = async (form) => {
    const others = (await Outbox.all()).filter((one) => one.person !== form.elements.username.value.trim());
    if (others.length) {
      if (!confirm(`${count(others)} on this phone that ${others[0].person} has not sent yet. If somebody else signs in, that is lost. Sign in all the same?`)) return;
      sessionStorage.setItem(OTHERS, "yes");
    }
    form.submit();
  };

  const isUp = () => fetch(noLine, { cache: "no-store", credentials: "same-origin", signal: AbortSignal.timeout(4000) }).then((answer) => answer.ok, () => false);

  // what needs the line says so, instead of losing what was typed
  const needsLine = async (form, by) => {
    const waits = form.dataset.needsLine ? (await Outbox.mine()).filter((one) => one.sheet === form.dataset.needsLine) : [];
    const up = await isUp();
    if (up && !waits.length) {
      if (form.elements.csrfmiddlewaretoken) form.elements.csrfmiddlewaretoken.value = Outbox.token();
      form.dataset.lineIsThere = "yes";
      return form.requestSubmit(by);
    }
    form.querySelector("[data-line-says]")?.remove();
    const words = up ? `${count(waits)} not yet sent. Nothing was done: send that first.` : "This needs the line, and there is none: nothing was done. Try again where there is one.";
    const line = told(words, "error");
    line.dataset.lineSays = "";
    form.append(line);
    return undefined;
  };

  document.addEventListener("submit", (event) => {
    const form = event.target;
    if (event.defaultPrevented || form.method !== "post" || form.dataset.lineIsThere) return;
    const special = "signOut" in form.dataset ? signOut : "signIn" in form.dataset ? signIn : null;
    if (!special && !("needsLine" in form.dataset) && !keptAt) return;
    if ("piece" in form.dataset && person) return;
    event.preventDefault();
    (special ?? needsLine)(form, event.submitter);
  });

  // what is kept, and taking it along

  const show = async () => {
    const kept = await Kept.list();
    for (const list of document.querySelectorAll("[data-kept]")) {
      list.replaceChildren(...kept.map(({ address, title, at }) => {
        const line = document.createElement("li");
        const link = Object.assign(document.createElement("a"), { href: address, textContent: title });
        const when = Object.assign(document.createElement("span"), { className: "quietly", textContent: ` as it was at ${Kept.says(at)}` });
        line.append(link, when);
        return line;
      }));
    }
    for (const one of document.querySelectorAll("[data-kept-none]")) one.hidden = kept.length > 0;
  };

  const take = async (button) => {
    const says = document.querySelector("[data-take-says]");
    button.disabled = true;
    says.textContent = "Fetching…";
    try {
      await navigator.storage?.persist?.();
      const { pages } = await (await fetch(button.dataset.take, { headers: { Accept: "application/json" }, credentials: "same-origin" })).json();
      let kept = 0;
      for (const address of pages) {
        const answer = await fetch(address, { credentials: "same-origin" });
        const under = address.endsWith("/sketch.json") && answer.ok ? (await answer.clone().json()).underlay?.src : null;
        if (under) pages.push(under); // the picture under a sketch goes along with it
        kept += await Kept.keep(new URL(address, location.href).href, answer) ? 1 : 0;
        says.textContent = `${kept} of ${pages.length} fetched.`;
      }
      says.textContent = kept === pages.length ? `All ${kept} are on this phone now.` : `${kept} of ${pages.length} are on this phone now; the others could not be had. Try again.`;
    } catch {
      says.textContent = "There is no line: what was kept before is still here.";
    }
    button.disabled = false;
    await show();
  };

  for (const button of document.querySelectorAll("[data-take]")) {
    button.hidden = false;
    button.addEventListener("click", () => take(button));
  }
  for (const button of document.querySelectorAll("[data-again]")) button.replaceWith(again());

  // the page for what is not kept knows of nobody, and not in which light they read
  if (person) localStorage.setItem("light", document.documentElement.dataset.light ?? "");
  else if (document.querySelector("[data-held]") && localStorage.getItem("light")) document.documentElement.dataset.light = localStorage.getItem("light");
  if (keptAt) banner();
  await change();
  await Kept.dropOld();
  await show();
  if (!person || !("serviceWorker" in navigator)) return;
  await navigator.serviceWorker.register("/sw.js");
  // the first page of all came while no worker was there to keep it
  if (!navigator.serviceWorker.controller) await Kept.keep(location.href, await fetch(location.href, { credentials: "same-origin" }));
})();
