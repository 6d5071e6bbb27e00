// A form whose pieces of work are kept on this phone before they are sent: every `form[data-piece]`. Without this the form posts as any other.
(() => {
  if (!globalThis.Outbox) return;
  const SAYS = "says"; // what is to be told on the page that comes next
  const UNTOLD = new Set(["csrfmiddlewaretoken", "password"]);
  const SHEET = /^\/field\/(?!begin\/)([^/]+)\//;

  const textOf = (one) => one?.textContent.trim().replace(/\s+/g, " ") ?? "";
  const bare = (words) => words.replace(/\s*\*$/, ""); // without the star of what must be given
  const legendOf = (field) => textOf(field.closest("fieldset")?.querySelector("legend")) || textOf(field.closest("[id^=div_]")?.querySelector("legend, label"));
  const labelOf = (field) => textOf(field.labels?.[0]);

  const valueOf = (field) => {
    if (field.type === "file") return [...field.files].map((one) => one.name).join(", ");
    if (field.tagName === "SELECT") return [...field.selectedOptions].filter((one) => one.value).map(textOf).join(", ");
    return field.value;
  };

  // the piece as a person reads it: what each field is called, and what was given
  const wordsOf = (form) => {
    const words = new Map();
    for (const field of form.elements) {
      if (!field.name || field.type === "hidden" || field.disabled || ["BUTTON", "FIELDSET"].includes(field.tagName)) continue;
      const ticked = ["checkbox", "radio"].includes(field.type);
      if (ticked && !field.checked) continue;
      const several = ticked && form.elements[field.name].length > 1;
      const label = bare((several ? legendOf(field) : labelOf(field)) || field.name);
      const value = several ? labelOf(field) : ticked ? "yes" : valueOf(field);
      if (value) words.set(label, words.has(label) ? `${words.get(label)}, ${value}` : value);
    }
    return [...words];
  };

  const isFile = (value) => value instanceof File;
  const fieldsOf = (form, by) => [...new FormData(form, by)]
    .filter(([name, value]) => !UNTOLD.has(name) && !(isFile(value) && !value.size && !value.name))
    .map(([name, value]) => isFile(value) ? [name, value, value.name] : [name, value]);

  const labelsOf = (form) => Object.fromEntries([...form.elements].filter((one) => one.name && labelOf(one)).map((one) => [one.name, bare(labelOf(one))]));

  const titleOf = (form) => form.dataset.says || textOf(form.querySelector("legend, h2, h3")) || textOf(form.querySelector("[type=submit]"));

  const pieceOf = (form, by) => {
    const address = new URL(form.getAttribute("action") || "", location.href).pathname;
    return {
      address,
      page: location.pathname,
      sheet: SHEET.exec(address)?.[1] ?? address,
      form: Outbox.formOf(form),
      title: titleOf(form),
      labels: labelsOf(form),
      fields: fieldsOf(form, by),
      words: wordsOf(form),
    };
  };

  // a locate begun here gets its key from the phone, so that its guide has an address before the server knows of it
  const begun = async (form, piece) => {
    const sheet = crypto.randomUUID();
    await Kept.begun.add({ sheet, person: Outbox.person(), guide: form.dataset.guide, at: new Date().toISOString() });
    const fields = piece.fields.map(([name, ...given]) => name === "sheet" ? [name, sheet] : [name, ...given]);
    return { ...piece, sheet, fields, begins: true };
  };

  // what is typed anew takes the place of what was; a photograph that is not chosen anew stays
  const mended = (before, piece) => {
    const anew = new Set(piece.fields.map(([name]) => name));
    const kept = before.fields.filter(([name, value]) => value instanceof Blob && !anew.has(name));
    return { fields: [...piece.fields.map(([name, ...given]) => before.begins && name === "sheet" ? [name, before.sheet] : [name, ...given]), ...kept], words: piece.words };
  };

  const stored = async (form, by) => {
    const piece = pieceOf(form, by);
    const before = form.dataset.mends && (await Outbox.mine()).find((one) => one.key === form.dataset.mends);
    if (before) return Outbox.change(before, mended(before, piece));
    return Outbox.add("guide" in form.dataset ? await begun(form, piece) : piece);
  };

  // shown at the form

  const say = (form, words, kind = "") => {
    const line = form.querySelector(":scope > [data-told]") ?? form.appendChild(document.createElement("p"));
    Object.assign(line, { className: `told ${kind}`, textContent: words, tabIndex: -1 });
    line.dataset.told = "";
    line.setAttribute("role", "status");
    line.focus();
  };

  const clear = (form) => {
    for (const one of form.querySelectorAll("[data-fault], :scope > [data-told]")) one.remove();
    for (const one of form.querySelectorAll("[aria-invalid]")) {
      one.removeAttribute("aria-invalid");
      one.classList.remove("is-invalid");
    }
  };

  const faultAt = (field, says) => {
    const line = Object.assign(document.createElement("p"), { className: "invalid-feedback d-block", textContent: says, id: `${field.id || field.name}-fault` });
    line.dataset.fault = "";
    field.classList.add("is-invalid");
    field.setAttribute("aria-invalid", "true");
    field.setAttribute("aria-describedby", [field.getAttribute("aria-describedby"), line.id].filter(Boolean).join(" "));
    field.after(line);
  };

  const showFaults = (form, piece) => {
    clear(form);
    form.dataset.mends = piece.key;
    const whole = [piece.answer?.says];
    for (const [name, says] of Object.entries(piece.answer?.faults ?? {})) {
      const field = name && [form.elements[name]].flat().find((one) => one instanceof HTMLElement && one.type !== "hidden");
      if (field) faultAt(field, says.join(" "));
      else whole.push(...says);
    }
    say(form, `Not recorded: ${whole.filter(Boolean).join(" ") || "what is wrong is said at each field."} Mend it and hand it in again, or drop it.`, "error");
    form.querySelector(".is-invalid")?.focus();
  };

  const emptied = (form) => {
    form.reset();
    for (const field of form.querySelectorAll("textarea")) field.dispatchEvent(new Event("input", { bubbles: true })); // a sketch follows
  };

  const refill = (form, piece) => {
    emptied(form);
    for (const field of form.elements) {
      const given = piece.fields.filter(([name, value]) => name === field.name && typeof value === "string").map(([, value]) => value);
      if (!field.name || field.type === "hidden" || field.type === "file") continue;
      if (["checkbox", "radio"].includes(field.type)) field.checked = given.includes(field.value);
      else if (field.multiple) for (const one of field.options) one.selected = given.includes(one.value);
      else if (given.length) field.value = given[0];
      field.dispatchEvent(new Event("input", { bubbles: true }));
    }
  };

  const formOf = (piece) => [...document.querySelectorAll("form[data-piece]")].find((form) => Outbox.formOf(form) === piece.form);

  const mendAsked = async () => {
    const key = /^#mend-(.+)$/.exec(location.hash)?.[1];
    const piece = key && (await Outbox.mine()).find((one) => one.key === key);
    const form = piece && formOf(piece);
    if (!form) return;
    for (let fold = form.closest("details"); fold; fold = fold.parentElement.closest("details")) fold.open = true;
    refill(form, piece);
    showFaults(form, piece);
    form.scrollIntoView({ block: "start" });
  };

  const toldBefore = () => {
    const says = sessionStorage.getItem(SAYS);
    sessionStorage.removeItem(SAYS);
    if (!says) return;
    const line = Object.assign(document.createElement("p"), { className: "told success", textContent: says });
    line.setAttribute("role", "status");
    document.querySelector("main")?.prepend(line);
  };

  // handing in

  const onward = (told) => {
    const next = new URL(told.next ?? location.href, location.href);
    sessionStorage.setItem(SAYS, told.says ?? "");
    if (next.pathname + next.search !== location.pathname + location.search) return location.assign(next);
    history.replaceState(null, "", next);
    return location.reload();
  };

  const came = async (form, key) => {
    const piece = (await Outbox.mine()).find((one) => one.key === key);
    if (!piece) return onward(Outbox.gone(key) ?? {}); // another tab may have sent it
    if (piece.state === Outbox.FAULTY) return showFaults(form, piece);
    delete form.dataset.mends;
    if (piece.begins) return location.assign(`/field/${piece.sheet}/`);
    emptied(form);
    const waits = { [Outbox.CLASH]: "Not recorded: somebody else was quicker. Both are shown above, and you decide.", [Outbox.DOOR]: "Kept on this phone. Sign in again, and it is sent." };
    return say(form, waits[piece.state] ?? "Kept on this phone. It is sent as soon as there is a line.");
  };

  const handIn = async (form, by) => {
    form.dataset.underway = "yes";
    clear(form);
    try {
      const key = await stored(form, by);
      await Outbox.flush();
      await came(form, key);
    } catch (trouble) {
      say(form, `This phone could not keep it (${trouble.name}): nothing was recorded. Free some room on the phone, and hand it in again.`, "error");
    } finally {
      delete form.dataset.underway;
    }
  };

  document.addEventListener("submit", (event) => {
    const form = event.target;
    if (!("piece" in form.dataset) || event.defaultPrevented || !Outbox.person()) return;
    event.preventDefault();
    if (!form.dataset.underway) handIn(form, event.submitter);
  });
  addEventListener("hashchange", mendAsked);
  toldBefore();
  mendAsked();
})();
