// While a permit is prepared, ask the gate again whenever something is changed. Without this the button "Look again" does the same.
(() => {
  const form = document.querySelector("[data-prepare]");
  const status = document.querySelector("[data-looking]");
  if (!form || !status) return;
  const PAUSE = 400;
  let timer, underway;

  // the crew, narrowed to a part of a name; who is ticked stays in sight
  const plain = (text) => text.normalize("NFKD").replace(/\p{M}/gu, "").toLowerCase();
  const narrow = () => {
    const field = form.querySelector("[data-find]");
    if (!field) return;
    const words = plain(field.value).split(/\s+/).filter(Boolean);
    const tally = { free: 0, shown: 0, against: 0 };
    for (const one of form.querySelectorAll("[data-pick]")) {
      const name = plain(one.querySelector("[data-name]").textContent);
      const tick = one.querySelector("input");
      one.hidden = !tick?.checked && !words.every((word) => name.includes(word));
      if (tick) tally.free += 1;
      if (!one.hidden) tally[tick ? "shown" : "against"] += 1;
    }
    for (const part of form.querySelectorAll("[data-picks]")) {
      const any = Boolean(part.querySelector("[data-pick]:not([hidden])"));
      part.hidden = !any;
      if (part.tagName === "DETAILS") part.open = any && words.length > 0;
    }
    const beside = tally.against ? `, and ${tally.against} who cannot be chosen, with why` : "";
    form.querySelector("[data-shown]").textContent = words.length ? `${tally.shown} of ${tally.free} shown${beside}` : "";
  };

  const put = (fresh) => {
    for (const part of document.querySelectorAll("[data-live]")) {
      const next = fresh.getElementById(part.id);
      // what somebody is typing in is left alone
      if (next && !part.contains(document.activeElement)) {
        const open = [...part.querySelectorAll("details[id]")].map((one) => [one.id, one.open]);
        part.replaceWith(document.adoptNode(next));
        for (const [id, was] of open) {
          const now = document.getElementById(id);
          if (now) now.open = was;
        }
      }
    }
  };

  const look = async () => {
    underway?.abort();
    underway = new AbortController();
    const sent = new FormData(form);
    sent.set("do", "look");
    status.textContent = "Looking…";
    try {
      const answer = await fetch(location.href, { method: "POST", body: sent, signal: underway.signal, credentials: "same-origin" });
      if (answer.redirected || !answer.ok) throw new Error(answer.status);
      put(new DOMParser().parseFromString(await answer.text(), "text/html"));
      const word = document.querySelector("#judged .verdict");
      status.textContent = word ? `As it stands: ${word.textContent.trim()}.` : "Some of it is still to be given.";
    } catch (trouble) {
      if (trouble.name !== "AbortError") status.textContent = "The gate could not be asked. What is shown may be old: try “Look again”.";
    }
  };

  // an answer to what was there before must not undo what is being typed now
  form.addEventListener("input", (event) => {
    if (event.target.matches("[data-find]")) return narrow();
    underway?.abort();
    clearTimeout(timer);
    timer = setTimeout(look, PAUSE);
  });
  form.addEventListener("keydown", (event) => { if (event.key === "Enter" && event.target.matches("[data-find]")) event.preventDefault(); });
  form.addEventListener("submit", () => { underway?.abort(); clearTimeout(timer); });
  form.querySelector("[name=site]")?.addEventListener("change", () => form.requestSubmit(form.querySelector("[value=look]")));
})();
