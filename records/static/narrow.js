// A list of people to tick, narrowed in place to a part of a name; who is ticked stays in sight. Without this a button does the same.
(() => {
  const plain = (text) => text.normalize("NFKD").replace(/\p{M}/gu, "").toLowerCase();

  const narrow = (field) => {
    const words = plain(field.value).split(/\s+/).filter(Boolean);
    const tally = { free: 0, shown: 0, against: 0 };
    for (const one of document.querySelectorAll("[data-pick]")) {
      const name = plain(one.querySelector("[data-name], label").textContent);
      const tick = one.querySelector("[type=checkbox]");
      one.hidden = !tick?.checked && !words.every((word) => name.includes(word));
      if (tick) tally.free += 1;
      if (!one.hidden) tally[tick ? "shown" : "against"] += 1;
    }
    for (const part of document.querySelectorAll("[data-picks]")) {
      const any = Boolean(part.querySelector("[data-pick]:not([hidden])"));
      part.hidden = !any;
      if (part.tagName === "DETAILS") part.open = any && words.length > 0;
    }
    const beside = tally.against ? `, and ${tally.against} who cannot be chosen, with why` : "";
    document.querySelector("[data-shown]").textContent = words.length ? `${tally.shown} of ${tally.free} shown${beside}` : "";
  };

  document.addEventListener("input", (event) => { if (event.target.matches("[data-find]")) narrow(event.target); });
  document.addEventListener("keydown", (event) => { if (event.key === "Enter" && event.target.matches("[data-find]")) event.preventDefault(); });
})();
