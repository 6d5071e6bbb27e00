// While a permit is prepared, ask the gate again whenever something is changed. Without this the button "Look again" does the same.
(() => {
  const form = document.querySelector("[data-prepare]");
  const status = document.querySelector("[data-looking]");
  if (!form || !status) return;
  const PAUSE = 400;
  let timer, underway;

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
    if (event.target.matches("[data-find]")) return; // narrows what is shown, and asks nothing
    underway?.abort();
    clearTimeout(timer);
    timer = setTimeout(look, PAUSE);
  });
  form.addEventListener("submit", () => { underway?.abort(); clearTimeout(timer); });
  form.querySelector("[name=site]")?.addEventListener("change", () => form.requestSubmit(form.querySelector("[value=look]")));
})();
