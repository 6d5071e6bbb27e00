// What waits on this phone to be sent, in words: how many in the masthead, each of them where a page has room for them, and at the form it came from.
(() => {
  if (!globalThis.Outbox) return;
  const fill = (line, slot, text) => { for (const one of line.querySelectorAll(`[data-slot="${slot}"]`)) one.textContent = text; };
  const pairs = (list, words) => list?.replaceChildren(...words.flatMap(([label, text]) => {
    const row = document.createElement("div");
    row.append(Object.assign(document.createElement("dt"), { textContent: label }), Object.assign(document.createElement("dd"), { textContent: text }));
    return row;
  }));

  const faultsOf = (piece) => Object.entries(piece.answer?.faults ?? {}).flatMap(([field, says]) => says.map((one) => piece.labels[field] ? `${piece.labels[field]}: ${one}` : one));
  const saysOf = (piece) => [piece.answer?.says, ...faultsOf(piece)].filter(Boolean).join(" ");

  const ACTS = {
    anyway: (piece) => Outbox.change(piece, { fields: [...piece.fields, ["anyway", "1"]] }).then(Outbox.flush),
    drop: (piece) => confirm(`Drop “${piece.title}”${piece.begins ? " and all that hangs on it" : ""}? The server has not taken it, and then it is gone.`) && Outbox.drop(piece),
  };

  const lineOf = (section, piece) => {
    const line = section.querySelector("template").content.firstElementChild.cloneNode(true);
    line.dataset.state = piece.state;
    fill(line, "title", piece.title);
    fill(line, "when", Kept.says(new Date(piece.recorded_at)));
    fill(line, "says", saysOf(piece));
    pairs(line.querySelector("[data-words]"), piece.words);
    pairs(line.querySelector("[data-mine]"), Object.entries(piece.answer?.mine ?? {}));
    pairs(line.querySelector("[data-theirs]"), Object.entries(piece.answer?.theirs ?? {}));
    for (const one of line.querySelectorAll("[data-in]")) one.hidden = !one.dataset.in.split(" ").includes(piece.state);
    line.querySelector("[data-mend]").href = `${piece.page}#mend-${piece.key}`;
    for (const one of line.querySelectorAll("[data-act]")) one.addEventListener("click", () => ACTS[one.dataset.act](piece));
    return line;
  };

  const showIn = (section, pieces) => {
    const theirs = pieces.filter((one) => !section.dataset.waiting || one.sheet === section.dataset.waiting);
    const open = new Set([...section.querySelectorAll("li:has(details[open])")].map((one) => one.dataset.key));
    section.querySelector("[data-list]").replaceChildren(...theirs.map((piece) => {
      const line = lineOf(section, piece);
      line.dataset.key = piece.key;
      line.querySelector("details").open = open.has(piece.key);
      return line;
    }));
    section.querySelector("[data-send]").hidden = !Outbox.person();
    section.hidden = !theirs.length;
  };

  const atForm = (form, pieces) => {
    const here = pieces.filter((one) => one.form === Outbox.formOf(form));
    let line = form.nextElementSibling?.matches("[data-form-waits]") ? form.nextElementSibling : null;
    if (!line && here.length) {
      line = Object.assign(document.createElement("p"), { className: "quietly" });
      line.dataset.formWaits = "";
      form.after(line);
    }
    if (!line) return;
    line.hidden = !here.length;
    line.textContent = `On this phone, not yet sent: ${here.map((one) => Kept.says(new Date(one.recorded_at))).join(", ")}.`;
  };

  const show = async () => {
    const pieces = await Outbox.mine();
    for (const one of document.querySelectorAll("[data-unsent]")) {
      one.hidden = !pieces.length;
      one.textContent = `${pieces.length} not yet sent`;
    }
    for (const section of document.querySelectorAll("[data-waiting]")) showIn(section, pieces);
    for (const form of document.querySelectorAll("form[data-piece]")) atForm(form, pieces);
  };

  document.addEventListener("click", (event) => event.target.closest("[data-send]") && Outbox.flush());
  Outbox.heard.addEventListener("change", show);
  show();
})();
